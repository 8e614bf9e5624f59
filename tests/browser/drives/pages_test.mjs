// Every page that a newcomer's or an officer's links lead to, looked at by axe-core in the light, in the dark and on a
// phone, where nothing may stand beside the screen.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { violations } from '../support/axe.mjs';
import { withPage } from '../support/chromium.mjs';
import { Home } from '../support/home.mjs';
import { poolFile } from '../support/pool.mjs';

// Pages of items and of stages are alike: one of each is looked at.
const kindOf = (address) => address.replace(/[0-9a-f]{8,}|\d+/g, 'N');

// Addresses of this node that the page links to, without files to keep and what only shows another state of
// the same page.
async function linksOn(page) {
  const all = await page.locator('a[href^="/"]').evaluateAll((links) => links.map((link) => link.getAttribute('href')));
  return all.map((address) => address.split('#')[0]).filter((address) => !address.startsWith('/static/') && !/\.(adi|csv)$/.test(address));
}

const people = [
  { who: 'a newcomer', seat: ['--as', 'newcomer'], first: ['/', '/exposure', '/map', '/may'] },
  { who: 'an officer', seat: ['--as', 'officer', '--club', 'Example Lake Radio Club'], first: ['/', '/club', '/class', '/practise', '/card'] },
];

const bytesMax = 150 * 1024;
const screens = [
  { where: 'in the light', colorScheme: 'light' },
  { where: 'in the dark', colorScheme: 'dark' },
  { where: 'on a phone', colorScheme: 'light', viewport: { width: 360, height: 740 }, hasTouch: true },
];

// Wider than the screen: a person would have to push the page to and fro to read it.
const isTooWide = (page) => page.evaluate(() => document.documentElement.scrollWidth > document.documentElement.clientWidth);

for (const { who, seat, first } of people) {
  for (const { where, colorScheme, ...screen } of screens) {
    test(`no page of ${who} breaks a rule of accessibility ${where}`, async () => {
      const home = new Home();
      try {
        home.command('begin', '--name', 'Ada Example', ...seat);
        home.command('practise', '--pool', poolFile(home.folder));
        const address = await home.run();
        await withPage(
          async (page, strangers) => {
            await page.goto(address);
            const seen = new Set();
            const waiting = [...first];
            while (waiting.length > 0) {
              const next = waiting.shift();
              if (seen.has(kindOf(next))) continue;
              seen.add(kindOf(next));
              const answer = await page.goto(new URL(next, address).href);
              assert.ok(answer.ok(), `${next} answers ${answer.status()}`);
              assert.ok((await answer.body()).length <= bytesMax, `${next} is heavy`);
              assert.equal(await isTooWide(page), false, `${next} is wider than the screen`);
              waiting.push(...(await linksOn(page)));
              assert.deepEqual(await violations(page), [], next);
            }
            assert.ok(seen.size > 10, 'the links lead to the pages');
            assert.deepEqual(strangers, []);
          },
          { colorScheme, bypassCSP: true, ...screen },
        );
      } finally {
        await home.end();
      }
    });
  }
}
