// From an arranged contact to the signed milestone, on two nodes that reach one another over the loopback: the mentor
// arranges, the newcomer takes the card along, both write their logs, the logs agree, the milestone is signed, and the
// club's row moves.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { violations } from '../support/axe.mjs';
import { withPage } from '../support/chromium.mjs';
import { Home } from '../support/home.mjs';

const aheadMs = 3 * 60_000; // the meeting is a few minutes from now, so that both logs lie about its time
const day = (ms) => new Date(ms).toISOString().slice(0, 10);
const clock = (ms) => new Date(ms).toISOString().slice(11, 16);
const daysAgo = (days) => day(Date.now() - days * 86_400_000);

// Both have begun, run, share the club of the mentor's node and the newcomer's path.
async function paired() {
  const max = new Home();
  const ada = new Home();
  const zone = ['--locator', 'FN31', '--zone', 'America/New_York'];
  max.command('begin', '--name', 'Max Dale', '--as', 'officer', '--club', 'Example Valley Radio Club', '--call',
    'KF1XMD', ...zone);
  ada.command('begin', '--name', 'Ada Finch', '--as', 'newcomer', ...zone);
  max.command('card', '--class', 'G');
  const addresses = { max: await max.run(), ada: await ada.run() };
  ada.command('join', max.json('invite', 'club', '--as', 'newcomer').code);
  max.command('join', ada.json('invite', 'path', '--as', 'mentor').code);
  ada.command('tick', '3.8', '--on', daysAgo(20), '--evidence', 'certificate in hand');
  ada.command('tick', '4.6', '--on', daysAgo(12), '--evidence', 'KD0XAA');
  ada.command('tick', '7.12', '--on', daysAgo(9), '--evidence', 'handheld, 5 W');
  ada.command('share', '--until', day(Date.now() + 300 * 86_400_000));
  return { max, ada, addresses };
}

async function passes(page, where) {
  assert.deepEqual(await violations(page), [], where);
}

// The mentor's page of the newcomer, once her news has come.
async function openBench(page, address) {
  await page.goto(address);
  await page.goto(new URL('/people', address).href);
  await page.getByRole('link', { name: 'Ada Finch' }).first().click();
  await page.locator('summary', { hasText: 'Sign: 07.12' }).waitFor();
  await passes(page, 'the bench');
}

async function signOnBench(page, item, saw) {
  const form = page.locator('details', { has: page.locator('summary', { hasText: `Sign: ${item}` }) });
  await form.locator('summary').click();
  await form.getByLabel('What you saw or heard').fill(saw);
  await form.getByRole('button', { name: 'Sign it' }).click();
  await page.getByRole('heading', { name: 'Done' }).waitFor();
}

async function arrange(page, startMs) {
  await page.locator('#d-meet > summary').click();
  const form = page.locator('#d-meet form[method="post"]').first();
  assert.equal(await form.locator('[name="meet-first"]').inputValue(), '146.55', 'a frequency that both may use');
  await form.locator('[name="meet-day"]').fill(day(startMs));
  await form.locator('[name="meet-clock"]').fill(clock(startMs));
  await form.locator('[name="meet-which"][value="utc"]').check();
  await form.locator('[name="meet-fallback"]').fill('telephone at a quarter past');
  await form.getByRole('button', { name: 'Arrange it' }).click();
  await page.getByRole('heading', { name: 'Done' }).waitFor();
}

async function takeCard(page, address) {
  await page.goto(address);
  await page.goto(new URL('/meet', address).href);
  await page.getByRole('link', { name: 'Card to print' }).waitFor();
  await passes(page, 'meet');
  await page.getByRole('link', { name: 'Card to print' }).click();
  const card = await page.locator('main').innerText();
  for (const words of ['Contact on the air with Max Dale', 'KF1XMD', 'KD0XAA is spelled: Kilo Delta Zero X-ray Alfa Alfa',
    '146.55 MHz, FM', 'telephone at a quarter past', 'What to say last']) {
    assert.ok(card.includes(words), `the card says: ${words}`);
  }
  await passes(page, 'the card');
  await page.emulateMedia({ media: 'print' });
  assert.equal(await page.locator('nav').first().isVisible(), false, 'no links on paper');
  await page.emulateMedia({ media: 'screen' });
  const [file] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('link', { name: 'For your calendar' }).click(),
  ]);
  assert.ok(file.suggestedFilename().endsWith('.ics'));
}

async function saysMade(page, address) {
  await page.goto(new URL('/meet', address).href);
  await page.getByRole('button', { name: 'We talked' }).click();
  await page.getByRole('heading', { name: 'Contacts', exact: true }).waitFor();
  await passes(page, 'contacts');
  const form = page.locator('form', { has: page.locator('[name="contact-worked"]') });
  assert.equal(await form.locator('[name="contact-worked"]').inputValue(), 'KF1XMD');
  await form.locator('[name="contact-sent"]').fill('59');
  await form.getByRole('button', { name: 'Write it down' }).click();
  await page.getByText('not yet').first().waitFor();
}

async function writesHisSide(page) {
  const form = page.locator('#d-side');
  await form.locator('summary').click();
  await form.locator('[name="side-frequency"]').fill('146.55');
  await form.locator('[name="side-sent"]').fill('57');
  await form.getByRole('button', { name: 'Write my side down' }).click();
  await page.getByRole('heading', { name: 'Done' }).waitFor();
}

async function ticksMilestone(page, address) {
  await page.goto(new URL('/contact', address).href);
  await page.getByText("Max Dale's log agrees").first().waitFor();
  await page.goto(new URL('/way/09.06', address).href);
  const form = page.locator('form', { has: page.locator('[name="tick-evidence"]') });
  await form.locator('[name="tick-evidence"]').fill('KF1XMD on 146.55 MHz FM');
  await form.getByRole('button', { name: 'Tick: I did this' }).click();
  await page.getByText('waits for a signature').first().waitFor();
  await passes(page, 'the milestone');
}

// The stage at which the club has her.
function stageOf(home) {
  return home.json('review').needs.find((one) => one.name === 'Ada Finch').stage;
}

test('a first contact is arranged, made, confirmed by both logs, signed, and seen by the club', async () => {
  const { max, ada, addresses } = await paired();
  const strangersSeen = [];
  const options = { bypassCSP: true, acceptDownloads: true };
  try {
    await withPage(async (mentor, byMentor) => {
      await withPage(async (newcomer, byNewcomer) => {
        await openBench(mentor, addresses.max);
        await signOnBench(mentor, '07.12', 'went through the sheet together');
        await mentor.goto(new URL('/club', addresses.max).href);
        await mentor.getByText('Ada Finch').first().waitFor();
        await passes(mentor, 'the club');
        assert.ok(stageOf(max) < '09', 'no contact before');
        await openBenchAgain(mentor, addresses.max);
        await arrange(mentor, Date.now() + aheadMs);
        await takeCard(newcomer, addresses.ada);
        await saysMade(newcomer, addresses.ada);
        await openBenchAgain(mentor, addresses.max);
        await writesHisSide(mentor);
        await ticksMilestone(newcomer, addresses.ada);
        await openBenchAgain(mentor, addresses.max);
        await mentor.locator('summary', { hasText: 'Sign: 09.06' }).waitFor();
        await signOnBench(mentor, '09.06', 'heard her myself');
        await newcomer.goto(new URL('/way/09.06', addresses.ada).href);
        await newcomer.getByText('heard her myself').first().waitFor();
        await mentor.goto(new URL('/club/questions/10', addresses.max).href);
        await mentor.getByText(/stage 09/).first().waitFor();
        await mentor.goto(new URL('/club', addresses.max).href);
        assert.equal(stageOf(max), '09', 'the row of the club moved');
        await passes(mentor, 'the club, afterwards');
        strangersSeen.push(...byMentor, ...byNewcomer);
      }, options);
    }, options);
    assert.deepEqual(strangersSeen, []);
  } finally {
    await max.end();
    await ada.end();
  }
});

async function openBenchAgain(page, address) {
  await page.goto(new URL('/people', address).href);
  await page.getByRole('link', { name: 'Ada Finch' }).first().click();
  await page.getByRole('heading', { name: 'Arranged contacts' }).waitFor();
}
