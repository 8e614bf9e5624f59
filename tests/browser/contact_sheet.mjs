// Every page in small, side by side: phone and desk, light and dark. Run by hand, to be looked over.
//   LADDERLINE_PROGRAM=build/node/ladderline node tests/browser/contact_sheet.mjs FOLDER
// Writes FOLDER/newcomer.png and FOLDER/officer.png.

import { mkdirSync } from 'node:fs';
import { join } from 'node:path';

import { withPage } from './support/chromium.mjs';
import { Home } from './support/home.mjs';
import { poolFile } from './support/pool.mjs';

const folder = process.argv[2];
if (!folder) throw new Error('Name a folder for the pictures.');
mkdirSync(folder, { recursive: true });

const screens = [
  { name: 'phone, light', colorScheme: 'light', viewport: { width: 360, height: 740 }, shown: 180 },
  { name: 'phone, dark', colorScheme: 'dark', viewport: { width: 360, height: 740 }, shown: 180 },
  { name: 'desk, light', colorScheme: 'light', viewport: { width: 1024, height: 600 }, shown: 420 },
  { name: 'desk, dark', colorScheme: 'dark', viewport: { width: 1024, height: 600 }, shown: 420 },
];

const daysAgo = (days) => new Date(Date.now() - days * 86_400_000).toISOString().slice(0, 10);

function newcomer(home) {
  home.command('begin', '--name', 'Ada Finch', '--as', 'newcomer', '--call', 'KD0XAA', '--locator', 'FN31', '--zone', 'America/New_York');
  home.command('practise', '--pool', poolFile(home.folder));
  home.command('tick', '4.6', '--on', daysAgo(12), '--evidence', 'KD0XAA');
  home.command('tick', '7.12', '--on', daysAgo(9), '--evidence', 'handheld, 5 W');
  home.command('ask', 'which antenna for a flat');
  return ['/', '/way', '/way/09.06', '/meet', '/contact', '/contact/quick', '/practise', '/ready', '/mock', '/exam', '/may',
    '/exposure', '/map', '/circles', '/card', '/store', '/find?q=antenna', '/keys'];
}

function officer(home) {
  home.command('begin', '--name', 'Max Dale', '--as', 'officer', '--club', 'Example Valley Radio Club', '--call', 'KF1XMD',
    '--locator', 'FN31', '--zone', 'America/New_York');
  return ['/', '/club', '/club/questions', '/club/questions/8', '/club/numbers', '/club/year', '/class', '/circles', '/card', '/store'];
}

async function pictures(start, addresses, screen) {
  const out = [];
  await withPage(async (page) => {
    await page.goto(start);
    for (const address of addresses) {
      await page.goto(new URL(address, start).href);
      out.push((await page.screenshot({ type: 'jpeg', quality: 60 })).toString('base64'));
    }
  }, screen);
  return out;
}

async function sheet(home, addresses, file) {
  const rows = [];
  for (const screen of screens) {
    const start = home.node ? home.command('pages').trim() : await home.run();
    rows.push({ screen, all: await pictures(start, addresses, screen) });
  }
  const cell = ({ screen, all }, i) => `<td><img width="${screen.shown}" src="data:image/jpeg;base64,${all[i]}"></td>`;
  const body = addresses
    .map((address, i) => `<tr><th>${address}</th>${rows.map((row) => cell(row, i)).join('')}</tr>`)
    .join('');
  const head = screens.map(({ name }) => `<th>${name}</th>`).join('');
  await withPage(
    async (page) => {
      await page.setContent(`<style>body{font:14px sans-serif}td,th{vertical-align:top;padding:4px;text-align:left}
        img{border:1px solid #888}</style><table><tr><th></th>${head}</tr>${body}</table>`);
      await page.screenshot({ path: file, fullPage: true });
    },
    { viewport: { width: 1400, height: 800 } },
  );
}

for (const [name, begin] of Object.entries({ newcomer, officer })) {
  const home = new Home();
  try {
    await sheet(home, begin(home), join(folder, `${name}.png`));
    console.log(join(folder, `${name}.png`));
  } finally {
    await home.end();
  }
}
