// A pairing on three live nodes: the officer proposes, newcomer and mentor answer, and after a month both say how it
// goes. The nodes know one another through the officer's alone.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { violations } from '../support/axe.mjs';
import { withPage } from '../support/chromium.mjs';
import { Home } from '../support/home.mjs';
import { comes } from '../support/journeys.mjs';

const options = { bypassCSP: true };

async function passes(page, where) {
  assert.deepEqual(await violations(page), [], where);
}

// Olga's club with Max, who mentors, and Ada, who shares her row; all three run.
async function three() {
  const nodes = { olga: new Home(), max: new Home(), ada: new Home() };
  const { olga, max, ada } = nodes;
  const place = ['--locator', 'FN31', '--zone', 'America/New_York'];
  olga.command('begin', '--name', 'Olga Penn', '--as', 'officer', '--club', 'Example Valley Radio Club', ...place);
  max.command('begin', '--name', 'Max Dale', '--as', 'mentor', ...place);
  ada.command('begin', '--name', 'Ada Finch', '--as', 'newcomer', ...place);
  max.command('card', '--room', '2', '--times', 'Tue 18:00-21:00');
  ada.command('card', '--times', 'Tue 18:00-20:00');
  const addresses = await runAll(nodes);
  max.command('join', olga.json('invite', 'club', '--as', 'mentor').code);
  ada.command('join', olga.json('invite', 'club', '--as', 'newcomer').code);
  await comes('her club', () => ada.command('sees').includes('Example Valley'));
  ada.command('share', '--until', new Date(Date.now() + 300 * 86_400_000).toISOString().slice(0, 10));
  return { nodes, addresses };
}

async function runAll(nodes) {
  const addresses = {};
  for (const [name, node] of Object.entries(nodes)) addresses[name] = await node.run();
  return addresses;
}

async function endAll(nodes) {
  for (const node of Object.values(nodes)) await node.end();
}

// Each opens their own pages in a window of their own.
async function withThree(addresses, drive) {
  await withPage(async (olga) => {
    await withPage(async (max) => {
      await withPage(async (ada) => {
        const pages = { olga, max, ada };
        for (const [name, page] of Object.entries(pages)) await page.goto(addresses[name]);
        await drive(pages);
      }, options);
    }, options);
  }, options);
}

async function proposes(page, address) {
  await comes('the proposal', async () => {
    await page.goto(new URL('/club/pairing', address).href);
    return (await page.getByRole('button', { name: 'Ask both: Ada Finch with Max Dale' }).count()) > 0;
  });
  await passes(page, 'the board');
  await page.getByRole('button', { name: 'Ask both: Ada Finch with Max Dale' }).click();
  await page.getByText('are asked whether they suit each other').waitFor();
}

// The open page hears of the proposal by itself.
async function saysYes(page, address, first, other) {
  await page.goto(new URL(first, address).href);
  await page.getByText(`A pairing with ${other} is proposed`).waitFor();
  await page.goto(new URL('/pairing', address).href);
  await passes(page, 'the proposal');
  await page.getByRole('button', { name: `Yes, with ${other}` }).click();
  await page.getByRole('heading', { name: 'Done' }).waitFor();
}

async function reviews(page, address, word) {
  await page.goto(new URL('/pairing', address).href);
  const form = page.locator('form[action="/pairing/review"]');
  await form.waitFor();
  await passes(page, 'the review');
  for (const question of ['time', 'ahead', 'together']) {
    await form.locator(`[name$="-${question}"][value="${question === 'ahead' ? word : 'well'}"]`).check();
  }
  await form.getByRole('button', { name: 'Say how it goes' }).click();
  await page.getByText('Kept:').waitFor();
}

test('an officer proposes, both say yes, and after a month one of them needs a talk', async () => {
  const { nodes, addresses } = await three();
  try {
    await withThree(addresses, async ({ olga, max, ada }) => {
      await proposes(olga, addresses.olga);
      await saysYes(ada, addresses.ada, '/', 'Max Dale');
      await olga.getByText('the newcomer said yes').waitFor();
      await saysYes(max, addresses.max, '/people', 'Ada Finch');
      await ada.getByText('Your mentor is').waitFor();
      await olga.getByText('Nobody is asked just now.').waitFor();
    });
    for (const node of Object.values(nodes)) await node.stop();
    for (const node of Object.values(nodes)) node.setLater(31);
    const later = await runAll(nodes);
    await withThree(later, async ({ olga, max, ada }) => {
      await reviews(ada, later.ada, 'talk');
      await reviews(max, later.max, 'well');
      await ada.getByText('After 30 days you said: needs a talk. Max Dale: goes well.').waitFor();
      await olga.goto(new URL('/club/pairing', later.olga).href);
      await olga.getByText('needs a talk').first().waitFor();
      await passes(olga, 'the board, afterwards');
    });
  } finally {
    await endAll(nodes);
  }
});

test('a rather not is one click, and neither the mentor nor the board says who it was', async () => {
  const { nodes, addresses } = await three();
  try {
    await withThree(addresses, async ({ olga, max, ada }) => {
      await proposes(olga, addresses.olga);
      await max.goto(new URL('/people', addresses.max).href);
      await max.getByText('A pairing with Ada Finch is proposed').waitFor();
      await ada.goto(new URL('/pairing', addresses.ada).href);
      await ada.getByRole('button', { name: 'Rather not with Max Dale' }).click();
      await ada.getByText('No reason is asked').waitFor();
      await max.getByText('A pairing with Ada Finch is proposed').waitFor({ state: 'detached' });
      await olga.getByText('Nobody is asked just now.').waitFor();
      assert.equal((await olga.locator('main').innerText()).includes('declined'), false);
    });
  } finally {
    await endAll(nodes);
  }
});
