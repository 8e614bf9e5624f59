// The day of each of the three people, by either hand (hands.mjs), on live nodes that the journey starts and ends.

import assert from 'node:assert/strict';

import { withPage } from './chromium.mjs';
import { clubYearHome } from './club_year.mjs';
import { Home } from './home.mjs';

const isTooWide = (page) => page.evaluate(() => document.documentElement.scrollWidth > document.documentElement.clientWidth);

export async function isNotTooWide(page) {
  assert.equal(await isTooWide(page), false, `${new URL(page.url()).pathname} is wider than the screen`);
}

// Asked again until it holds: news goes from node to node in its own time.
export async function comes(what, holds) {
  for (let look = 0; look < 400; ++look) {
    if (await holds()) return;
  }
  assert.fail(`${what} never came`);
}

// Begins, ticks, writes a contact down, asks, makes a code for the mentor, finds the contact again.
export async function newcomersDay({ hand, options = {}, look }) {
  const home = new Home();
  try {
    home.command('begin', '--name', 'Ada Finch', '--as', 'newcomer', '--call', 'KD0XAA');
    home.command('tick', '4.6', '--evidence', 'KD0XAA');
    const start = await home.run();
    await withPage(async (page, strangers) => {
      const her = new hand(page, look);
      await her.open(start);
      await her.follow('Way');
      await her.open(new URL('/way/01.01', start).href);
      await her.press('Tick: I did this', '/way/01.01');
      await her.saidDone();
      await her.follow('Contacts');
      await her.fill('contact-worked', 'KF1XMD');
      await her.fill('contact-frequency', '146.55');
      await her.choose('contact-mode', 'FM');
      await her.fill('contact-sent', '59');
      await her.press('Write it down', '/contact');
      await her.sees('KF1XMD');
      await her.follow('Next step');
      await her.fill('ask-topic', 'which antenna');
      await her.press('Ask', '/ask');
      await her.saidDone();
      await her.follow('Circles');
      await her.press('Make an invite code', '/circles/invite');
      assert.match(await page.locator('p.code').innerText(), /^LADDER-/);
      await her.fill('q', 'kf1xmd');
      await her.press('Find', '/find');
      await her.sees('KF1XMD');
      assert.deepEqual(strangers, []);
    }, options);
    assert.equal(home.stateOf('01.01'), 'ticked', 'the way goes on in a terminal');
  } finally {
    await home.end();
  }
}

// The mentor signs three items at once, asks for another, says that they were in touch; the newcomer's node has it.
export async function mentorsDay({ hand, options = {}, look }) {
  const max = new Home();
  const ada = new Home();
  try {
    max.command('begin', '--name', 'Max Dale', '--as', 'mentor');
    ada.command('begin', '--name', 'Ada Finch', '--as', 'newcomer');
    const address = await max.run();
    await ada.run();
    max.command('join', ada.json('invite', 'path', '--as', 'mentor').code);
    const items = ['00.03', '00.08', '01.17'];
    for (const item of items) ada.command('tick', item);
    await comes('her ticks', () => items.every((item) => max.stateOf(item, 'Ada') === 'ticked'));
    await withPage(async (page, strangers) => {
      const his = new hand(page, look);
      await his.open(address);
      await comes('her ticks', async () => {
        await his.open(new URL('/people', address).href);
        return (await page.locator('main').innerText()).includes('3 wait for you');
      });
      await his.follow('Ada Finch');
      await his.unfold('Sign several at once');
      for (const item of items) await his.tick('sign-many-items', item);
      await his.choose('sign-many-level', '2');
      await his.fill('sign-many-saw', 'club evening');
      await his.press('Sign what is ticked', '/sign-many');
      await his.saidDone();
      await his.sees('3 items are signed: 00.03, 00.08, 01.17.');
      await his.fill('assign-items', '01.03');
      await his.press('Ask for it next', '/assign');
      await his.saidDone();
      await his.press('Write the day down', '/touch');
      await his.saidDone();
      assert.deepEqual(strangers, []);
    }, options);
    await comes('his signatures', () => items.every((item) => ada.stateOf(item).startsWith('signed')));
    await comes('what he asks for', () => ada.json('next').next?.item === '01.03');
  } finally {
    await max.end();
    await ada.end();
  }
}

// The words of the first link or button that fits, as a person reads them.
async function wordsOf(page, selector) {
  const words = await page.locator(selector).first().innerText();
  return words.trim().replace(/\s+/g, ' ');
}

// Who needs us, one asked and found well, a question, the numbers, the year, and a pair asked and taken back.
export async function officersDay({ hand, options = {}, look }) {
  const home = clubYearHome();
  try {
    const start = await home.run();
    const club = new URL('/club', start).href;
    await withPage(async (page, strangers) => {
      const their = new hand(page, look);
      await their.open(start);
      await their.press(await wordsOf(page, 'form[action="/club/asked"] button'), '/club/asked');
      await their.saidDone();
      await their.follow('All 36 questions');
      await their.follow(await wordsOf(page, 'main a[href="/club/questions/1"]'));
      assert.equal(new URL(page.url()).pathname, '/club/questions/1');
      await their.open(club);
      await their.follow('How long it takes');
      assert.equal(new URL(page.url()).pathname, '/club/numbers');
      await their.open(club);
      await their.follow('The year on one page');
      await their.open(club);
      await their.follow('Circles');
      await their.follow('All of them, and their machines');
      await their.open(club);
      await their.follow('Pairing board');
      const ask = await wordsOf(page, 'form[action="/club/pairing/ask"] button');
      await their.press(ask, '/club/pairing/ask');
      await their.saidDone();
      await their.press(await wordsOf(page, 'form[action="/club/pairing/take-back"] button'), '/club/pairing/take-back');
      await their.saidDone();
      assert.deepEqual(strangers, []);
    }, options);
  } finally {
    await home.end();
  }
}

export const journeys = [
  { what: 'a newcomer ticks, writes a contact down, asks, invites and finds', day: newcomersDay },
  { what: 'a mentor signs three items at once, asks for another and was in touch', day: mentorsDay },
  { what: 'an officer asks after somebody, reads the answers and asks a pair', day: officersDay },
];
