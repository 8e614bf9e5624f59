// A newcomer joins in the browser alone, by a code and by six words, on two nodes that reach one another.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { violations } from '../support/axe.mjs';
import { withPage } from '../support/chromium.mjs';
import { Home } from '../support/home.mjs';

const options = { bypassCSP: true };

async function passes(page, where) {
  assert.deepEqual(await violations(page), [], where);
}

function clubAndNewcomer() {
  const max = new Home();
  const ada = new Home();
  max.command('begin', '--name', 'Max Dale', '--as', 'officer', '--club', 'Example Valley Radio Club');
  ada.command('begin', '--name', 'Ada Finch', '--as', 'newcomer');
  return { max, ada };
}

// The officer's page makes the code; gives what it shows of it.
async function makesCode(page, address) {
  await page.goto(address);
  await page.goto(new URL('/circles', address).href);
  const form = page.locator('form[action="/circles/invite"]').last();
  await form.getByLabel('newcomer', { exact: true }).check();
  await form.getByRole('button', { name: 'Make an invite code' }).click();
  const code = await page.locator('p.code').innerText();
  const words = await page.locator('strong[translate="no"]').innerText();
  return { code, words };
}

test('a code is typed with a slip, put right, compared, and leads into the club', async () => {
  const { max, ada } = clubAndNewcomer();
  try {
    const addresses = { max: await max.run(), ada: await ada.run() };
    let made;
    await withPage(async (page) => { made = await makesCode(page, addresses.max); });
    await withPage(async (page, strangers) => {
      await page.goto(addresses.ada);
      await page.getByRole('link', { name: 'I was given a code' }).click();
      const field = page.locator('[name="code-code"]');
      await field.fill(`${made.code.slice(0, 20)}!${made.code.slice(21)}`);
      await page.getByRole('button', { name: 'Look at this code' }).click();
      await page.getByText("The character '!' at place 14").first().waitFor();
      assert.ok((await field.inputValue()).includes('!'), 'what was typed is still there');
      await passes(page, 'a slip');
      await field.fill(made.code.toLowerCase());
      await page.getByRole('button', { name: 'Look at this code' }).click();
      await page.getByText(made.words).waitFor();
      await passes(page, 'the code');
      await page.getByRole('button', { name: 'Join', exact: true }).click();
      await page.getByText('Max Dale let you in').waitFor();
      assert.ok((await page.locator('main').innerText()).includes('the club Example Valley Radio Club'));
      await passes(page, 'joined');
      await page.getByRole('link', { name: 'Go on' }).click();
      assert.equal(await page.getByRole('link', { name: 'I was given a code' }).count(), 0);
      assert.deepEqual(strangers, []);
    }, options);
  } finally {
    await max.end();
    await ada.end();
  }
});

const letters = (words) => words.split(/\s+/).map((word) => word[0]).join('');

test('two people compare six words on their pages, and she is in the club', async () => {
  const { max, ada } = clubAndNewcomer();
  try {
    const addresses = { max: await max.run(), ada: await ada.run() };
    await withPage(async (host) => {
      await withPage(async (caller) => {
        await host.goto(addresses.max);
        await host.goto(new URL('/greet', addresses.max).href);
        await host.getByRole('button', { name: 'Open the door for one person' }).click();
        const door = await host.locator('p.code').innerText();
        await passes(host, 'the door');
        await caller.goto(addresses.ada);
        await caller.goto(new URL('/join', addresses.ada).href);
        await caller.getByLabel('Address of their program').fill(door);
        await caller.getByRole('button', { name: 'Call them' }).click();
        await caller.getByRole('heading', { name: 'Compare six words' }).waitFor();
        const six = letters(await caller.locator('p.code').innerText());
        await passes(caller, 'six words');
        await host.getByRole('heading', { name: 'Somebody has called' }).waitFor();
        assert.equal(letters(await host.locator('p.code').innerText()), six.slice(0, 4));
        await passes(host, 'four words');
        await host.getByLabel('The last two, as you heard them').fill(six.slice(4));
        await host.getByRole('button', { name: 'Compare' }).click();
        await host.getByRole('heading', { name: 'That is right' }).waitFor();
        assert.equal(letters(await host.locator('p.code').innerText()), six);
        await caller.getByRole('button', { name: 'They are the same' }).click();
        await caller.getByText('Max Dale let you in').waitFor();
        await host.getByText('Ada Finch was let in.').waitFor();
        await host.goto(new URL('/circles', addresses.max).href);
        await host.locator('summary', { hasText: 'On which machines' }).last().click();
        await host.getByText('check words compared by voice').first().waitFor();
      }, options);
    }, options);
  } finally {
    await max.end();
    await ada.end();
  }
});

test('words that differ keep her out, and both pages say so', async () => {
  const { max, ada } = clubAndNewcomer();
  try {
    const addresses = { max: await max.run(), ada: await ada.run() };
    max.command('greet', 'club', '--as', 'newcomer');
    const door = max.command('greet').match(/join (\S+) --by-voice/)[1];
    await withPage(async (page) => {
      await page.goto(addresses.ada);
      await page.goto(new URL('/join', addresses.ada).href);
      await page.getByLabel('Address of their program').fill(door);
      await page.getByRole('button', { name: 'Call them' }).click();
      await page.getByRole('button', { name: 'They differ' }).click();
      await page.getByRole('heading', { name: 'Nothing was joined' }).waitFor();
      assert.equal(await page.getByLabel('Address of their program').inputValue(), door, 'another try is one click');
      await page.goto(new URL('/circles', addresses.ada).href);
      assert.ok(!(await page.locator('main').innerText()).includes('Example Valley'));
    }, options);
  } finally {
    await max.end();
    await ada.end();
  }
});
