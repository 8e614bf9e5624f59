// Pictures for node/manual/tour.md, drawn anew by hand from the demo that goes on running:
//   samples/demo.sh --stay >demo.log        in another terminal
//   node tests/browser/tour_pictures.mjs FOLDER demo.log
// The addresses that the demo prints work once, so each drawing wants a demo of its own.

import { mkdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';

import { withPage } from './support/chromium.mjs';

const [folder, log] = process.argv.slice(2);
if (!folder || !log) throw new Error('usage: tour_pictures.mjs FOLDER DEMO-LOG');
mkdirSync(folder, { recursive: true });
const addresses = new Map(
  [...readFileSync(log, 'utf8').matchAll(/^(\w+) +(http:\/\/127\.0\.0\.1:\d+\/open\/\w+)$/gm)].map((m) => [m[1], m[2]]),
);

// Clipped at the page's own part, and made smaller than on a screen, so that each stays below 60 kB.
const desk = { width: 960, height: 540, factor: 0.65 };
const phone = { width: 360, height: 560, factor: 1 };
const pictures = [
  ['ada', '/', 'tour_next.png', desk],
  ['ada', '/way', 'tour_way.png', desk],
  ['ada', '/way/09.06', 'tour_item.png', desk],
  ['max', '/people', 'tour_mentor.png', desk],
  ['olive', '/club', 'tour_club.png', desk],
  ['ada', '/circles', 'tour_sees.png', desk],
  ['ada', '/', 'tour_phone.png', phone],
];

const cookies = new Map(); // an address opens once
for (const [who, from, name, form] of pictures) {
  const address = addresses.get(who);
  if (!address) throw new Error(`the demo's log names no address of ${who}`);
  await withPage(
    async (page) => {
      if (cookies.has(who)) await page.context().addCookies(cookies.get(who));
      else await page.goto(address);
      cookies.set(who, await page.context().cookies());
      await page.emulateMedia({ reducedMotion: 'reduce' }); // nothing is drawn while it moves
      await page.goto(new URL(from, address).href);
      const top = form === phone ? 0 : (await page.locator('main').boundingBox()).y - 10;
      const file = join(folder, name);
      await page.screenshot({ path: file, fullPage: true, clip: { x: 0, y: top, width: form.width, height: form.height } });
      console.log(`${name}: ${Math.ceil(statSync(file).size / 1000)} kB`);
    },
    { viewport: { width: form.width, height: form.height }, deviceScaleFactor: form.factor },
  );
}
