// The day of the examination by the pages: a session booked, its result, the clocks that run from there; and a mock paper
// drawn, looked at as it prints, and typed back in.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { violations } from '../support/axe.mjs';
import { withPage } from '../support/chromium.mjs';
import { Home } from '../support/home.mjs';
import { poolFile } from '../support/pool.mjs';

const day = (ms) => new Date(ms).toISOString().slice(0, 10);
const dayMs = 86_400_000;
const certificateSafeDays = 364;

async function passes(page, where) {
  assert.deepEqual(await violations(page), [], where);
}

async function withAda(drive) {
  const home = new Home();
  try {
    home.command('begin', '--name', 'Ada Example', '--as', 'newcomer');
    home.command('practise', '--pool', poolFile(home.folder));
    const address = await home.run();
    await withPage(
      async (page, strangers) => {
        await page.goto(address);
        await drive(page, (path) => new URL(path, address).href, home);
        assert.deepEqual(strangers, []);
      },
      { bypassCSP: true },
    );
  } finally {
    await home.end();
  }
}

test('a session is booked, passed, and the certificate runs from that day', async () => {
  await withAda(async (page, at) => {
    const today = Date.now();
    await page.goto(at('/exam'));
    await passes(page, 'exam, before anything');
    const booking = page.locator('form', { has: page.locator('[name="booked-day"]') });
    await booking.locator('[name="booked-day"]').fill(day(today));
    await booking.locator('[name="booked-element"]').selectOption('2');
    await booking.locator('[name="booked-place"]').fill('library');
    await booking.getByRole('button', { name: 'It is booked' }).click();
    await page.getByText(`Booked: element 2 on ${day(today)}, library`).waitFor();
    await page.getByRole('heading', { name: 'How it went' }).waitFor();
    await passes(page, 'exam, on its day');
    const result = page.locator('form', { has: page.locator('[name="result-day"]') });
    await result.locator('[name="result-day"]').fill(day(today));
    await result.getByRole('radio', { name: 'Passed' }).check();
    await result.getByRole('button', { name: 'Write it down' }).click();
    await page.getByText(`The certificate counts until ${day(today + certificateSafeDays * dayMs)}.`).first().waitFor();
    await page.getByText('Element 2: counts.').waitFor();
    await passes(page, 'exam, after it');
  });
});

test('a paper that did not pass stays on the desk, in kind words', async () => {
  await withAda(async (page, at) => {
    await page.goto(at('/exam'));
    const result = page.locator('form', { has: page.locator('[name="result-day"]') });
    await result.getByRole('radio', { name: 'Not this time' }).check();
    await result.getByRole('button', { name: 'Write it down' }).click();
    await page.getByText('Written on your own desk, and nowhere else.').waitFor();
    await passes(page, 'exam, not this time');
  });
});

test('a mock paper is drawn, printed with its boxes, and typed back in', async () => {
  await withAda(async (page, at, home) => {
    await page.goto(at('/mock'));
    await passes(page, 'mock papers');
    await page.getByRole('button', { name: 'Draw a paper', exact: true }).click();
    await page.getByRole('heading', { name: 'Mock paper', exact: true }).waitFor();
    await passes(page, 'a mock paper');
    const number = (await page.locator('.call').first().textContent()).trim();
    assert.equal(await page.locator('.boxes').isVisible(), false, 'no boxes on the screen');
    await page.emulateMedia({ media: 'print' });
    assert.equal(await page.locator('.boxes').isVisible(), true, 'a row of boxes on paper');
    assert.equal(await page.getByRole('button', { name: 'Hand it in' }).isVisible(), false, 'no button on paper');
    assert.equal(await page.locator('.boxes li').count(), 35);
    await page.emulateMedia({ media: 'screen' });
    const sheet = home.json('mock', '--paper', number, '--sheet');
    const letters = sheet.questions.map((one) => 'ABCD'[one.right_place]);
    letters[34] = '?';
    await page.goto(at('/mock'));
    const typed = page.locator('form', { has: page.locator('[name="typed-number"]') });
    await typed.locator('[name="typed-number"]').fill(number.toLowerCase());
    await typed.locator('[name="typed-answers"]').fill(letters.join('').replace(/(.{5})/g, '$1 '));
    await typed.locator('[name="typed-minutes"]').fill('21');
    await typed.getByRole('button', { name: 'Mark it' }).click();
    await page.getByRole('heading', { name: 'Passed', exact: true }).waitFor();
    assert.ok((await page.locator('main').innerText()).includes('34 of 35'));
    await passes(page, 'the result');
    await page.goto(at('/mock'));
    await page.getByText('34 of 35').waitFor();
  });
});

test('a slip in the number of a paper comes back with what was typed', async () => {
  await withAda(async (page, at) => {
    await page.goto(at('/mock'));
    const typed = page.locator('form', { has: page.locator('[name="typed-number"]') });
    await typed.locator('[name="typed-number"]').fill('ABCD-EFGH-JKLM-NPQR');
    await typed.locator('[name="typed-answers"]').fill('ABCD');
    await typed.getByRole('button', { name: 'Mark it' }).click();
    await page.getByRole('alert').waitFor();
    assert.equal(await page.locator('[name="typed-answers"]').inputValue(), 'ABCD');
    await passes(page, 'the refusal');
  });
});
