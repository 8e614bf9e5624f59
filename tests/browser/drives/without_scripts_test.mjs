// The core of each day with scripts switched off: forms, links and redirects alone.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { withPage } from '../support/chromium.mjs';
import { Pointer } from '../support/hands.mjs';
import { Home } from '../support/home.mjs';
import { journeys } from '../support/journeys.mjs';
import { poolFile } from '../support/pool.mjs';

async function practises(page, address) {
  await page.goto(new URL('/practise', address).href);
  await page.locator('main form[method="post"] button').first().click();
  assert.equal(new URL(page.url()).pathname, '/practise/answer');
  assert.match(await page.locator('main').innerText(), /^(Right|Not that one)$[^]*^Today: [01] of 1 right\.$/m);
}

for (const { what, day } of journeys) {
  test(`${what} without scripts`, () => day({ hand: Pointer, options: { javaScriptEnabled: false } }));
}

test('a newcomer practises without scripts', async () => {
  const home = new Home();
  try {
    home.command('begin', '--name', 'Ada Finch', '--as', 'newcomer');
    home.command('practise', '--pool', poolFile(home.folder));
    const start = await home.run();
    await withPage(
      async (page) => {
        await page.goto(start);
        await practises(page, new URL('/', start).href);
      },
      { javaScriptEnabled: false },
    );
  } finally {
    await home.end();
  }
});

test('the pages are locked and opened again without scripts', async () => {
  const home = new Home();
  try {
    home.command('begin', '--name', 'Ada Finch', '--as', 'newcomer');
    const start = await home.run();
    await withPage(
      async (page) => {
        await page.goto(start);
        await page.getByRole('button', { name: 'Lock these pages' }).click();
        await page.getByRole('heading', { name: 'Locked' }).waitFor();
        assert.equal((await page.goto(new URL('/way', start).href)).status(), 403);
        await page.goto(home.command('pages').trim());
        assert.equal((await page.goto(new URL('/way', start).href)).status(), 200);
      },
      { javaScriptEnabled: false },
    );
  } finally {
    await home.end();
  }
});
