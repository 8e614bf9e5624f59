// The same days with a keyboard and nothing else: what has the focus is always seen, and everything is reached.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { withPage } from '../support/chromium.mjs';
import { focused, Keyboard, tabTo } from '../support/hands.mjs';
import { Home } from '../support/home.mjs';
import { journeys } from '../support/journeys.mjs';

test('the first Tab offers to skip the links, and skips them', async () => {
  const home = new Home();
  try {
    home.command('begin', '--name', 'Ada Finch', '--as', 'newcomer');
    const start = await home.run();
    await withPage(async (page) => {
      await page.goto(start);
      await page.keyboard.press('Tab');
      assert.equal((await focused(page)).words, 'Skip to the page', 'the first Tab offers to skip the links');
      await page.keyboard.press('Enter');
      await tabTo(page, 'a link or button of the page itself', (at) => ['A', 'BUTTON', 'SUMMARY'].includes(at.tag));
      assert.ok(await page.evaluate(() => document.querySelector('main').contains(document.activeElement)), 'skipped the links');
    });
  } finally {
    await home.end();
  }
});

for (const { what, day } of journeys) test(`${what} by keyboard`, () => day({ hand: Keyboard }));
