// A mentor with two newcomers arranges one evening by the page; each sees their own contact and nothing of the other. The
// newcomer's map and exposure sheet are looked at on the way.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { violations } from '../support/axe.mjs';
import { withPage } from '../support/chromium.mjs';
import { Home } from '../support/home.mjs';

const options = { bypassCSP: true };

async function passes(page, where) {
  assert.deepEqual(await violations(page), [], where);
}

function begin(name, seat, times) {
  const home = new Home();
  home.command('begin', '--name', name, '--as', seat, '--zone', 'America/New_York', '--locator', 'FN31');
  home.command('card', '--class', seat === 'mentor' ? 'G' : 'T', '--times', times);
  return home;
}

// Max helps Ada and Bo, who do not know one another.
async function three() {
  const max = begin('Max Dale', 'mentor', 'Tue 18:00-21:00, Sat 09:00-12:00');
  const ada = begin('Ada Finch', 'newcomer', 'Tue 18:00-20:00, Sat 09:00-11:00');
  const bo = begin('Bo Lindt', 'newcomer', 'Sat 10:00-12:00');
  const addresses = { max: await max.run(), ada: await ada.run(), bo: await bo.run() };
  for (const one of [ada, bo]) max.command('join', one.json('invite', 'path', '--as', 'mentor').code);
  return { max, ada, bo, addresses };
}

async function arranges(page, address) {
  await page.goto(address);
  await page.goto(new URL('/people', address).href);
  await page.getByRole('link', { name: 'Bo Lindt' }).first().waitFor();
  await page.getByRole('link', { name: 'An evening on the air for several' }).click();
  await passes(page, 'evening, before');
  for (const name of ['Ada Finch', 'Bo Lindt']) await page.getByLabel(name).check();
  await page.getByRole('button', { name: 'Which times suit them?' }).click();
  await page.getByText('suits all who gave times').first().waitFor();
  await passes(page, 'evening, times');
  await page.getByRole('radio', { name: /suits all who gave times/ }).first().check();
  await page.locator('[name="evening-frequency"]').fill('146.55');
  await page.getByRole('button', { name: 'Arrange the evening' }).click();
  await page.getByText('Arranged with Ada Finch and Bo Lindt').waitFor();
  await page.getByRole('button', { name: 'Nobody heard' }).first().click();
  await page.getByText("nobody heard, which is nobody's fault").waitFor();
  await passes(page, 'evening, afterwards');
}

async function seesOnlyTheirs(page, address, other) {
  await page.goto(address);
  await page.goto(new URL('/meet', address).href);
  await page.getByText('with Max Dale').first().waitFor();
  assert.equal((await page.locator('body').innerText()).includes(other), false, `${other} is not named`);
  await passes(page, 'meet');
}

async function keepsSheet(page, address) {
  await page.goto(new URL('/exposure?mhz=146.52&watt=5&mode=fm&on=10&off=0&gain=0&metres=2&height=4', address).href);
  await page.locator('[name="keep-name"]').fill('handheld');
  await page.getByRole('button', { name: 'Keep this sheet' }).click();
  await page.getByText('At least 0.4 m for people who know of it, 0.8 m for everybody else.').first().waitFor();
  await page.getByRole('link', { name: 'See its sheet, or change something' }).click();
  await page.locator('[name="watt"]').first().fill('50');
  await page.getByRole('button', { name: 'Work it out', exact: true }).click();
  await page.getByRole('button', { name: 'Only note that the station is so now' }).click();
  await page.getByText('The power was 5 W and is 50 W now.').first().waitFor();
  await passes(page, 'exposure');
}

async function looksAtMap(page, address, home) {
  home.command('contact', 'KD0XBB', '--at', '2025-03-02T18:00Z', '--mhz', '14.28', '--mode', 'SSB', '--guest-of', 'KD0XCC',
    '--locator', 'IO91');
  await page.goto(new URL('/map', address).href);
  await page.getByText('5,410 km (3,362 mi), bearing 52 degrees').waitFor();
  await passes(page, 'map');
}

test('an evening for two is arranged, and neither learns of the other', async () => {
  const { max, ada, bo, addresses } = await three();
  try {
    await withPage(async (page, strangers) => {
      await arranges(page, addresses.max);
      assert.deepEqual(strangers, []);
    }, options);
    await withPage(async (page) => {
      await seesOnlyTheirs(page, addresses.ada, 'Bo Lindt');
      await keepsSheet(page, addresses.ada);
      await looksAtMap(page, addresses.ada, ada);
    }, options);
    await withPage((page) => seesOnlyTheirs(page, addresses.bo, 'Ada Finch'), options);
  } finally {
    for (const home of [max, ada, bo]) await home.end();
  }
});
