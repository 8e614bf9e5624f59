// A telephone with a small screen on the local network, here the loopback: let in once, shown what it may do, shut out.

import assert from 'node:assert/strict';
import { test } from 'node:test';
import { connect } from 'node:tls';

import { violations } from '../support/axe.mjs';
import { withPage } from '../support/chromium.mjs';
import { Home } from '../support/home.mjs';

const telephone = { viewport: { width: 360, height: 740 }, isMobile: true, hasTouch: true, ignoreHTTPSErrors: true };

// SHA-256 of the certificate that is shown there, "3F:0A:...".
function shownAt(port) {
  return new Promise((resolve, reject) => {
    const wire = connect({ host: '127.0.0.1', port, rejectUnauthorized: false }, () => {
      resolve(wire.getPeerCertificate().fingerprint256);
      wire.destroy();
    });
    wire.on('error', reject);
  });
}

async function fits(page) {
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.ok(wide <= 0, `${page.url()} is ${wide} pixels wider than the screen`);
}

async function usesThePages(page, link, name) {
  const answer = await page.goto(link);
  const seen = await answer.securityDetails();
  assert.equal(seen.subjectName, name);
  assert.equal(seen.protocol, 'TLS 1.3');
  await page.getByRole('link', { name: 'Go to my pages' }).click();
  await page.getByText('Your next step').waitFor();
  await fits(page);
  await page.goto(new URL('/way/01.01', link).href);
  await page.getByRole('button', { name: 'Tick: I did this' }).click();
  await page.getByRole('heading', { name: 'Done' }).waitFor();
  await page.goto(new URL('/goings', link).href);
  assert.equal(await page.locator('main form').count(), 0, 'nothing that cannot be undone');
  for (const path of ['/way', '/contact', '/card', '/phone', '/store']) {
    await page.goto(new URL(path, link).href);
    await fits(page);
  }
  assert.ok(!(await page.content()).includes(new URL(link).pathname), 'the link is not shown on the telephone');
}

test('a telephone is let in once by the link, works at 360 pixels, and is shut out by the machine', async () => {
  const home = new Home();
  try {
    home.command('begin', '--name', 'Ada Finch', '--as', 'newcomer', '--call', 'KD0XAA');
    const start = await home.run();
    await withPage(async (desk) => {
      await desk.goto(start);
      await desk.getByRole('link', { name: 'My phone' }).click();
      await desk.getByRole('heading', { name: 'My phone' }).waitFor();
      const said = home.json('phone', '127.0.0.1', '--minutes', '5');
      await desk.getByText(said.link).waitFor(); // by itself: the page listens
      const shown = (await desk.locator('dd.code').innerText()).trim().split(/\s+/).join(':');
      assert.equal(shown, said.fingerprint);
      assert.equal(await shownAt(said.port), said.fingerprint);
      assert.deepEqual(await violations(desk), []);
      await fits(desk);
      await withPage(async (page, strangers) => {
        await usesThePages(page, said.link, said.name);
        assert.deepEqual(strangers, []);
        await desk.getByText('A browser is in, from 127.0.0.1').waitFor();
        await withPage(async (second) => {
          assert.equal((await second.goto(said.link)).status(), 403);
        }, telephone);
        await desk.getByText('The link was used a second time').waitFor();
        await desk.getByRole('button', { name: 'End it' }).click();
        await desk.getByText('It was ended by a button').waitFor();
        await assert.rejects(page.goto(new URL('/way', said.link).href));
      }, telephone);
    }, { bypassCSP: true }); // for axe
  } finally {
    await home.end();
  }
});
