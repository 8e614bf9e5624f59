// The same day with a keyboard and nothing else: what has the focus is always seen, and everything is reached.

import assert from 'node:assert/strict';
import { test } from 'node:test';

import { withPage } from '../support/chromium.mjs';
import { Home } from '../support/home.mjs';

const stopsMax = 120;

// What has the focus, as a person would name it.
function focused(page) {
  return page.evaluate(() => {
    const at = document.activeElement;
    if (!at || at === document.body) return { tag: '', words: '', name: '', seen: false };
    const style = getComputedStyle(at);
    const box = at.getBoundingClientRect();
    const framed = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) > 0;
    return { tag: at.tagName, words: (at.textContent || '').trim(), name: at.getAttribute('name') || '',
      seen: framed && box.width > 0 && box.height > 0 };
  });
}

// Presses Tab until `wanted(focus)`; every stop on the way must be seen.
async function tabTo(page, what, wanted) {
  for (let stop = 0; stop < stopsMax; ++stop) {
    await page.keyboard.press('Tab');
    const at = await focused(page);
    if (at.tag !== '') assert.ok(at.seen, `the focus is not seen on ${at.tag} ${at.name} "${at.words.slice(0, 40)}"`);
    if (wanted(at)) return;
  }
  assert.fail(`Tab never came to ${what}`);
}

const button = (words) => (at) => at.tag === 'BUTTON' && at.words === words;
const link = (words) => (at) => at.tag === 'A' && at.words === words;
const field = (name) => (at) => at.name === name;

test('a newcomer comes to the way, ticks an item and writes a contact down by keyboard', async () => {
  const home = new Home();
  try {
    home.command('begin', '--name', 'Ada Finch', '--as', 'newcomer', '--call', 'KD0XAA');
    home.command('tick', '4.6', '--evidence', 'KD0XAA');
    const start = await home.run();
    await withPage(async (page) => {
      await page.goto(start);
      await page.keyboard.press('Tab');
      assert.equal((await focused(page)).words, 'Skip to the page', 'the first Tab offers to skip the links');
      await page.keyboard.press('Enter');
      await tabTo(page, 'a link or button of the page itself', (at) => at.tag === 'A' || at.tag === 'BUTTON' || at.tag === 'SUMMARY');
      assert.ok(await page.evaluate(() => document.querySelector('main').contains(document.activeElement)), 'skipped the links');

      await page.goto(new URL('/', start).href);
      await tabTo(page, 'the way', link('Way'));
      await page.keyboard.press('Enter');
      await page.waitForURL('**/way');

      await page.goto(new URL('/way/01.01', start).href);
      await tabTo(page, 'the tick', button('Tick: I did this'));
      await page.keyboard.press('Enter');
      await page.getByRole('heading', { name: 'Done' }).waitFor();

      await page.goto(new URL('/contact', start).href);
      await tabTo(page, 'the station worked', field('contact-worked'));
      await page.keyboard.type('KF1XMD');
      await tabTo(page, 'the frequency', field('contact-frequency'));
      await page.keyboard.type('146.55');
      await tabTo(page, 'the mode', field('contact-mode'));
      await page.keyboard.type('FM');
      await tabTo(page, 'the report', field('contact-sent'));
      await page.keyboard.type('59');
      await page.keyboard.press('Enter');
      await page.getByText('KF1XMD').first().waitFor();

      await page.goto(new URL('/', start).href);
      await tabTo(page, 'the field to find something', field('q'));
      await page.keyboard.type('kf1xmd');
      await page.keyboard.press('Enter');
      await page.waitForURL('**/find?q=kf1xmd');
      assert.ok((await page.locator('main').innerText()).includes('KF1XMD'));
    });
  } finally {
    await home.end();
  }
});
