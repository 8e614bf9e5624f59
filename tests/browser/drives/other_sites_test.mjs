// Other sites open in the same browser, one of them on this very machine, and a name of theirs that leads to it.

import assert from 'node:assert/strict';
import { createServer } from 'node:http';
import { test } from 'node:test';

import { withPage } from '../support/chromium.mjs';
import { Home } from '../support/home.mjs';

// A site on another port of the loopback, which browsers take for the same site.
function hostile(body) {
  const server = createServer((_, answer) => answer.setHeader('Content-Type', 'text/html').end(body));
  return new Promise((resolve) => server.listen(0, '127.0.0.1', () => resolve(server)));
}

const posts = (address) => `<!doctype html><form method="post" action="${new URL('/rest', address)}">
  <input name="rest" value="yes"><input name="csrf" value="${'0'.repeat(64)}"></form><script>document.forms[0].submit()</script>`;

const reads = (address) => `<!doctype html><p id="said">nothing</p><iframe src="${address}"></iframe><script>
  fetch('${address}', { credentials: 'include' }).then((r) => r.text()).then((t) => (document.querySelector('#said').textContent = 'read ' + t.length))
    .catch(() => (document.querySelector('#said').textContent = 'refused'));</script>`;

test('another site can neither send a form, nor read a page, nor show one inside itself', async () => {
  const home = new Home();
  let site;
  try {
    home.command('begin', '--name', 'Ada Finch', '--as', 'newcomer');
    const start = await home.run();
    await withPage(async (page) => {
      await page.goto(start);
      const own = new URL('/', start).href;
      for (const host of ['127.0.0.1', 'localhost']) {
        site = await hostile(posts(own));
        await page.goto(`http://${host}:${site.address().port}/`);
        await page.getByText('nothing was changed').waitFor();
        site.close();
        site = await hostile(reads(own));
        await page.goto(`http://${host}:${site.address().port}/`);
        await page.locator('#said', { hasText: 'refused' }).waitFor();
        const inside = page.frames()[1];
        assert.ok(!(await inside.content()).includes('Your next step'), 'no page within another');
        site.close();
      }
      await page.goto(own);
      await page.getByText('Your next step').waitFor(); // still open, and still on the way
      assert.equal(await page.getByRole('button', { name: 'Rest for a while' }).count(), 1);
    });
  } finally {
    site?.close();
    await home.end();
  }
});

test('a name of others that leads to this machine opens nothing', async () => {
  const home = new Home();
  try {
    home.command('begin', '--name', 'Ada Finch', '--as', 'newcomer');
    const start = await home.run();
    await withPage(
      async (page) => {
        await page.goto(start);
        const rebound = start.replace('127.0.0.1', 'rebound.example');
        assert.equal((await page.goto(rebound)).status(), 403);
        assert.equal((await page.goto(new URL('/way', rebound).href)).status(), 403);
        assert.equal((await page.goto(new URL('/way', start).href)).status(), 200);
      },
      {},
      ['--host-resolver-rules=MAP rebound.example 127.0.0.1'],
    );
  } finally {
    await home.end();
  }
});
