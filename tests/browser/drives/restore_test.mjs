// A machine is lost: with the spare key on paper and one of her people everything stands on a new one, as it did, and
// the old machine, which no desk knows any more, is shut out of the path by its page.

import assert from 'node:assert/strict';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';

import { violations } from '../support/axe.mjs';
import { withPage } from '../support/chromium.mjs';
import { Home } from '../support/home.mjs';
import { comes } from '../support/journeys.mjs';

const options = { bypassCSP: true };

const daysAgo = (days) => new Date(Date.now() - days * 86_400_000).toISOString().slice(0, 10);

async function mainOf(page, address, path) {
  await page.goto(new URL(path, address).href);
  return (await page.locator('main').innerText()).replace(/As of .*/, '');
}

async function nextStep(page, address) {
  await page.goto(new URL('/', address).href);
  return page.locator('.next-step h2').innerText();
}

// What the pages say of way and contacts; each item's line, and each contact's.
async function wayAndContacts(page, address) {
  await page.goto(address);
  const way = (await mainOf(page, address, '/way?stage=1')).split('\n').filter((line) => /^\d\d\.\d\d /.test(line));
  const contacts = await mainOf(page, address, '/contact');
  return { way, contacts: ['KF1XMD', 'KD0XBB'].map((call) => contacts.includes(call)), next: await nextStep(page, address) };
}

// Ada with her way, two contacts, a mentor on her path, and her key on paper.
async function beforeTheLoss() {
  const max = new Home();
  const ada = new Home();
  max.command('begin', '--name', 'Max Dale', '--as', 'mentor');
  ada.command('begin', '--name', 'Ada Finch', '--as', 'newcomer', '--call', 'KD0XAA');
  ada.command('tick', '4.6', '--on', daysAgo(20), '--evidence', 'KD0XAA');
  ada.command('tick', '1.1');
  for (const call of ['KF1XMD', 'KD0XBB']) {
    ada.command('contact', call, '--at', `${daysAgo(10)}T18:00Z`, '--mhz', '146.55', '--mode', 'FM');
  }
  const key = ada.json('paper').key;
  const addresses = { max: await max.run(), ada: await ada.run() };
  max.command('join', ada.json('invite', 'path', '--as', 'mentor').code);
  const equal = () => {
    const his = max.json('digest');
    return Object.entries(ada.json('digest')).some(([circle, digest]) => his[circle] === digest);
  };
  await comes('her path on his node', equal);
  return { max, ada, key, addresses };
}

test('on a new machine the pages show the same way and contacts, and the lost machine is shut out', async () => {
  const { max, ada, key, addresses } = await beforeTheLoss();
  const fresh = new Home();
  try {
    let before;
    let lost;
    await withPage(async (page) => {
      before = await wayAndContacts(page, addresses.ada);
      await page.goto(new URL('/goings', addresses.ada).href);
      lost = await page.locator('form[action="/goings/lost"] select option').evaluateAll((all) => all.map((one) => one.label));
    }, options);
    await ada.stop();
    const paper = join(fresh.folder, 'paper');
    writeFileSync(paper, `${key}\n`, { mode: 0o600 });
    assert.match(fresh.command('recover', `127.0.0.1:${max.port}`, '--paper-key-file', paper), /Welcome back, Ada Finch/);
    const start = await fresh.run();
    await withPage(async (page, strangers) => {
      const after = await wayAndContacts(page, start);
      assert.deepEqual(after.way, before.way, 'every item of the way as it was');
      assert.deepEqual(after.contacts, [true, true], 'both contacts');
      assert.equal(after.next, before.next, 'the next step as it was');
      await page.goto(new URL('/goings', start).href);
      assert.deepEqual(await violations(page), [], 'goings');
      const form = page.locator('form[action="/goings/lost"]');
      const machines = await form.locator('select option').evaluateAll((all) => all.map((one) => ({ value: one.value, label: one.label })));
      const old = machines.find((one) => one.value !== '' && lost.includes(one.label));
      assert.ok(old, `the lost machine stands in the list: ${JSON.stringify(machines)}`);
      await form.locator('select').selectOption(old.value);
      await form.locator('[name$="-sure"]').check();
      await form.getByRole('button').click();
      await page.getByRole('heading', { name: 'Done' }).waitFor();
      await page.goto(new URL('/way/01.02', start).href);
      await page.getByRole('button', { name: 'Tick: I did this' }).click();
      await page.getByRole('heading', { name: 'Done' }).waitFor();
      assert.deepEqual(strangers, []);
    }, options);
    const devices = () => max.json('sees').flatMap((circle) => circle.people).find((one) => one.name === 'Ada Finch').devices;
    await comes('the word of the lost machine', () => devices().length === 1);
    await comes('what she ticked on the new one', () => max.stateOf('01.02', 'Ada') === 'ticked');
  } finally {
    await fresh.end();
    await ada.end();
    await max.end();
  }
});
