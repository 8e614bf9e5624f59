// Forty answers on the page and forty on the terminal go into one and the same history.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';

import { withPage } from '../support/chromium.mjs';
import { Home } from '../support/home.mjs';
import { poolFile } from '../support/pool.mjs';

const answers = 40;
const questionId = /^[A-Z]\d[A-Z]\d\d$/;

// What is answered, the i-th time: mostly some letter, now and then "I don't know".
const letterOf = (i) => (i % 8 === 7 ? '?' : 'ABCD'[i % 4]);

async function answerOnPage(page, address, done) {
  await page.goto(address);
  await page.goto(new URL('/practise', address).href);
  for (let i = 0; i < answers; ++i) {
    const id = (await page.locator('.whom .call').first().textContent()).trim();
    const letter = letterOf(i);
    const name = letter === '?' ? "I don't know" : new RegExp(`^${letter} `);
    await page.getByRole('button', { name }).first().click();
    await page.getByRole('heading', { name: /Right|Not that one|The answer/ }).or(page.locator('.notice')).first().waitFor();
    const text = await page.locator('main').innerText();
    done.push({ id, right: /\bRight\b/.test(text.split('\n')[0] + text.split('\n')[1]) });
    await page.getByRole('link', { name: 'Next question' }).click();
  }
}

async function answerOnTerminal(home, done) {
  let i = 0;
  let asked = '';
  await home.talk(['practise'], 'q to stop: ', (text) => {
    if (asked) done.push({ id: asked, right: /^Right\./m.test(text) });
    if (i === answers) return 'q';
    asked = text.split('\n').map((line) => line.split(' ')[0]).filter((word) => questionId.test(word)).at(-1);
    return letterOf(i++);
  });
}

function history(home) {
  const folder = join(home.folder, 'plain');
  home.command('export', folder);
  const [head, ...rows] = readFileSync(join(folder, 'answers.csv'), 'utf8').trim().split(/\r?\n/);
  const column = head.split(',').indexOf('question');
  return rows.map((row) => row.split(',')[column]);
}

test('forty answers on the page and forty on the terminal are one history', async () => {
  const home = new Home();
  try {
    home.command('begin', '--name', 'Ada Example', '--as', 'newcomer');
    home.command('practise', '--pool', poolFile(home.folder));
    const done = [];
    const address = await home.run();
    await withPage(async (page, strangers) => {
      await answerOnPage(page, address, done);
      assert.deepEqual(strangers, []);
    });
    await answerOnTerminal(home, done);
    assert.equal(done.length, 2 * answers);
    assert.equal(new Set(done.map((one) => one.id)).size, 2 * answers, 'no question twice while others are unseen');
    assert.deepEqual(history(home), done.map((one) => one.id));
    assert.equal(home.json('ready').seen, 2 * answers);
  } finally {
    await home.end();
  }
});
