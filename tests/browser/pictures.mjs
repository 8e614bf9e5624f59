// Pictures of the invented club's year for samples/pictures, drawn anew by hand:
//   LADDERLINE_PROGRAM=... LADDERLINE_CLUB_YEAR=... node tests/browser/pictures.mjs FOLDER
// Each is the page as it prints, as wide as A4 within its margins.

import { mkdirSync } from 'node:fs';
import { join } from 'node:path';

import { withPage } from './support/chromium.mjs';
import { clubYearHome, sheets } from './support/club_year.mjs';

const folder = process.argv[2];
if (!folder) throw new Error('usage: pictures.mjs FOLDER');
mkdirSync(folder, { recursive: true });

// Millimetres to the pixels of a sheet at 96 a inch.
const px = (mm) => Math.round((mm / 25.4) * 96);
const pictures = [
  ['/club', 'review_on_paper.png'],
  ['/club/year', 'year_on_paper.png'],
];

const home = clubYearHome();
try {
  const address = await home.run();
  await withPage(
    async (page) => {
      await page.goto(address);
      for (const [from, name] of pictures) {
        const answer = await page.goto(new URL(from, address).href);
        if (!answer.ok()) continue;
        await page.emulateMedia({ media: 'print' });
        await page.screenshot({ path: join(folder, name), fullPage: true });
        console.log(`${name}: ${await sheets(page, 'A4')} sheet(s) of A4, ${await sheets(page, 'Letter')} of letter`);
        await page.emulateMedia({ media: null });
      }
    },
    { viewport: { width: px(210 - 30), height: 300 } },
  );
} finally {
  await home.end();
}
