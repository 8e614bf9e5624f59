// Two ways to use a page, with the same words: by pointer, and by keyboard alone. Journeys (journeys.mjs) are written
// for either. `look(page)` is called on every page that a deed led to.

import assert from 'node:assert/strict';

const stopsMax = 600;

// What has the focus, as a person would name it.
export function focused(page) {
  return page.evaluate(() => {
    const at = document.activeElement;
    if (!at || at === document.body) return { tag: '', words: '', name: '', value: '', action: '', seen: false };
    const style = getComputedStyle(at);
    const box = at.getBoundingClientRect();
    const framed = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) > 0;
    return { tag: at.tagName, words: (at.textContent || '').trim().replace(/\s+/g, ' '), name: at.getAttribute('name') || '',
      value: at.getAttribute('value') || '', action: (at.form && at.form.getAttribute('action')) || '',
      seen: framed && box.width > 0 && box.height > 0 };
  });
}

// Presses Tab until `wanted(focus)`; every stop on the way must be seen.
export async function tabTo(page, what, wanted) {
  for (let stop = 0; stop < stopsMax; ++stop) {
    await page.keyboard.press('Tab');
    const at = await focused(page);
    if (at.tag !== '') assert.ok(at.seen, `the focus is not seen on ${at.tag} ${at.name} "${at.words.slice(0, 40)}"`);
    if (wanted(at)) return;
  }
  assert.fail(`Tab never came to ${what}`);
}

export const button = (words) => (at) => at.tag === 'BUTTON' && at.words === words;
export const link = (words) => (at) => at.tag === 'A' && at.words === words;
export const field = (name) => (at) => at.name === name;

class Hand {
  constructor(page, look = async () => {}) {
    this.page = page;
    this.look = look;
  }

  async open(address) {
    await this.page.goto(address);
    await this.look(this.page);
  }

  // `deed` leads to another page, or to this one anew.
  async turn(deed) {
    const turned = this.page.waitForEvent('load');
    await deed();
    await turned;
    await this.look(this.page);
  }

  async sees(words) {
    await this.page.locator('main').getByText(words).first().waitFor();
  }

  async saidDone() {
    await this.page.getByRole('heading', { name: 'Done', exact: true }).waitFor();
  }
}

export class Pointer extends Hand {
  follow(words) {
    return this.turn(() => this.page.getByRole('link', { name: words, exact: true }).first().click());
  }

  press(words, action) {
    const form = this.page.locator(`form[action$="${action}"]`);
    return this.turn(() => form.getByRole('button', { name: words, exact: true }).first().click());
  }

  async unfold(words) {
    const summary = this.page.locator('summary', { hasText: words }).first();
    if (!(await summary.evaluate((at) => at.parentElement.open))) await summary.click();
  }

  fill(name, text) {
    return this.page.locator(`[name="${name}"]`).first().fill(text);
  }

  async choose(name, value) {
    const first = this.page.locator(`[name="${name}"]`).first();
    if ((await first.evaluate((at) => at.tagName)) === 'SELECT') await first.selectOption(value);
    else await this.page.locator(`[name="${name}"][value="${value}"]`).check();
  }

  tick(name, value) {
    return this.page.locator(`[name="${name}"][value="${value}"]`).check();
  }
}

export class Keyboard extends Hand {
  async follow(words) {
    await tabTo(this.page, `the link "${words}"`, link(words));
    await this.turn(() => this.page.keyboard.press('Enter'));
  }

  async press(words, action) {
    const wanted = (at) => button(words)(at) && at.action.endsWith(action);
    if (!wanted(await focused(this.page))) await tabTo(this.page, `the button "${words}"`, wanted);
    await this.turn(() => this.page.keyboard.press('Enter'));
  }

  async unfold(words) {
    await tabTo(this.page, `the part "${words}"`, (at) => at.tag === 'SUMMARY' && at.words.includes(words));
    const open = () => this.page.evaluate(() => document.activeElement.parentElement.open);
    if (!(await open())) await this.page.keyboard.press('Enter');
    assert.ok(await open(), `"${words}" is unfolded`);
  }

  async fill(name, text) {
    await tabTo(this.page, `the field ${name}`, field(name));
    await this.page.keyboard.press('Control+A');
    await this.page.keyboard.type(text);
  }

  async choose(name, value) {
    await tabTo(this.page, `the choice ${name}`, field(name));
    const chosen = () => this.page.evaluate(() => document.activeElement.value);
    for (let step = 0; step < 20 && (await chosen()) !== value; ++step) await this.page.keyboard.press('ArrowDown');
    assert.equal(await chosen(), value);
    if ((await focused(this.page)).tag === 'INPUT' && !(await this.page.evaluate(() => document.activeElement.checked))) {
      await this.page.keyboard.press('Space');
    }
  }

  async tick(name, value) {
    await tabTo(this.page, `the box ${name} ${value}`, (at) => at.name === name && at.value === value);
    await this.page.keyboard.press('Space');
  }
}
