// What an officer prints: the review, each answer and the year are one sheet each, in both sizes of paper.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { withPage } from '../support/chromium.mjs';
import { clubYearHome, sheets } from '../support/club_year.mjs';

const pages = ['/club', '/club/year', '/club/handover', ...Array.from({ length: 36 }, (_, i) => `/club/questions/${i + 1}`)];

test('the review, every answer and the year of a club of 200 print on one sheet each', async () => {
  const home = clubYearHome();
  try {
    const address = await home.run();
    await withPage(async (page) => {
      await page.goto(address);
      for (const one of pages) {
        const answer = await page.goto(new URL(one, address).href);
        assert.ok(answer.ok(), `${one} answers ${answer.status()}`);
        for (const format of ['A4', 'Letter']) assert.equal(await sheets(page, format), 1, `${one} on ${format}`);
        await page.emulateMedia({ media: 'print' });
        assert.match(await page.locator('main').innerText(), /As of (\w{3} )?\d{4}-\d\d-\d\d|No news has come yet/, `${one} says how old it is`);
        await page.emulateMedia({ media: null });
      }
    });
  } finally {
    await home.end();
  }
});
