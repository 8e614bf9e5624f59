// The core of each day with scripts switched off: forms, links and redirects alone.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { withPage } from '../support/chromium.mjs';
import { Home } from '../support/home.mjs';
import { poolFile } from '../support/pool.mjs';

async function saidDone(page) {
  await page.getByRole('heading', { name: 'Done' }).waitFor();
}

async function ticks(page, address) {
  await page.goto(new URL('/way/01.01', address).href);
  await page.getByRole('button', { name: 'Tick: I did this' }).click();
  await saidDone(page);
  await page.goto(new URL('/way?stage=1', address).href);
  assert.ok((await page.locator('main').innerText()).includes('ticked'), 'the way shows the tick');
}

async function writesAContact(page, address) {
  await page.goto(new URL('/contact', address).href);
  const form = page.locator('form', { has: page.locator('[name="contact-worked"]') });
  await form.locator('[name="contact-worked"]').fill('kf1xmd');
  await form.locator('[name="contact-frequency"]').fill('146.55');
  await form.locator('[name="contact-mode"]').fill('FM').catch(() => form.locator('[name="contact-mode"]').selectOption('FM'));
  await form.locator('[name="contact-sent"]').fill('59');
  await form.getByRole('button', { name: 'Write it down' }).click();
  const said = await page.locator('main').innerText();
  assert.ok(said.includes('KF1XMD'), `the list shows the contact: ${said.slice(0, 300)}`);
}

async function asks(page, address) {
  await page.goto(address);
  const details = page.locator('details', { has: page.locator('form[action="/ask"]') });
  if ((await details.count()) > 0) await details.first().locator('summary').click();
  const form = page.locator('form[action="/ask"]').first();
  await form.locator('input[type="text"], input:not([type]), select').first().fill('which antenna');
  await form.getByRole('button').first().click();
  await saidDone(page);
}

async function practises(page, address) {
  await page.goto(new URL('/practise', address).href);
  await page.locator('main form[method="post"] button').first().click();
  assert.match(new URL(page.url()).pathname, /^\/practise/);
  assert.match(await page.locator('main').innerText(), /[Rr]ight/);
}

async function finds(page, address) {
  await page.goto(address);
  await page.getByLabel('Find').fill('kf1xmd');
  await page.getByRole('button', { name: 'Find' }).click();
  assert.ok((await page.locator('main').innerText()).includes('KF1XMD'));
}

test('a newcomer ticks, writes a contact down, asks, practises and finds it again without scripts', async () => {
  const home = new Home();
  try {
    home.command('begin', '--name', 'Ada Finch', '--as', 'newcomer', '--call', 'KD0XAA');
    home.command('tick', '4.6', '--evidence', 'KD0XAA');
    home.command('practise', '--pool', poolFile(home.folder));
    const start = await home.run();
    await withPage(
      async (page, strangers) => {
        await page.goto(start);
        const address = new URL('/', start).href;
        await ticks(page, address);
        await writesAContact(page, address);
        await asks(page, address);
        await practises(page, address);
        await finds(page, address);
        assert.deepEqual(strangers, []);
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
