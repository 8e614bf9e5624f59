// How fast the pages are: for every page that the links lead to (one of a kind) the median of nine looks, of the time
// that the program took to answer and of the browser's first paint, slowest first. A table and never a test.
//   LADDERLINE_PROGRAM=... LADDERLINE_CLUB_YEAR=... node tests/browser/speed.mjs
// The store is the officer's after the invented year, and that of a newcomer with a day of their own. A big club is
// measured by bench_pages_bench.

import { withPage } from './support/chromium.mjs';
import { clubYearHome } from './support/club_year.mjs';
import { Home } from './support/home.mjs';
import { poolFile } from './support/pool.mjs';

const looks = 9;
const kindOf = (address) => address.replace(/[0-9a-f]{8,}|\d+/g, 'N');
const median = (all) => all.sort((a, b) => a - b)[Math.floor(all.length / 2)];

function newcomerHome() {
  const home = new Home();
  home.command('begin', '--name', 'Ada Finch', '--as', 'newcomer', '--call', 'KD0XAA', '--locator', 'FN31');
  home.command('tick', '4.6', '--evidence', 'KD0XAA');
  home.command('practise', '--pool', poolFile(home.folder));
  return home;
}

async function linksOn(page) {
  const all = await page.locator('a[href^="/"]').evaluateAll((links) => links.map((one) => one.getAttribute('href')));
  return all.map((one) => one.split('#')[0]).filter((one) => !one.startsWith('/static/') && !/\.(adi|csv)$|calendar$/.test(one));
}

// One look: what the browser measured.
async function lookAt(page, address) {
  const answer = await page.goto(address);
  if (!answer || !answer.ok()) throw new Error(`${address} answers ${answer?.status()}`);
  return page.evaluate(async () => {
    const [nav] = performance.getEntriesByType('navigation');
    let paint;
    for (let frame = 0; frame < 60 && !paint; ++frame) {
      await new Promise((next) => requestAnimationFrame(next));
      paint = performance.getEntriesByName('first-paint')[0];
    }
    return { server: nav.responseStart - nav.requestStart, paint: paint ? paint.startTime : NaN, bytes: nav.decodedBodySize };
  });
}

async function measured(page, address, path) {
  const all = [];
  for (let look = 0; look < looks; ++look) all.push(await lookAt(page, new URL(path, address).href));
  return { path, server: median(all.map((one) => one.server)), paint: median(all.map((one) => one.paint)),
    most: Math.max(...all.map((one) => one.server)), kib: all[0].bytes / 1024 };
}

async function table(title, home, first) {
  try {
    const address = await home.run();
    const lines = [];
    await withPage(async (page) => {
      await page.goto(address);
      const seen = new Set();
      const waiting = [...first];
      while (waiting.length > 0) {
        const next = waiting.shift();
        if (seen.has(kindOf(next))) continue;
        seen.add(kindOf(next));
        const line = await measured(page, address, next).catch((fault) => console.log(`${next}: ${String(fault.message).split('\n')[0]}`));
        if (!line) continue;
        lines.push(line);
        waiting.push(...(await linksOn(page)));
      }
    });
    lines.sort((a, b) => b.server - a.server);
    console.log(`\n${title}; ms, median of ${looks}\n${'page'.padEnd(44)}    server    most     paint     KiB`);
    for (const line of lines) {
      const figures = [line.server, line.most, line.paint, line.kib].map((one) => one.toFixed(1).padStart(9));
      console.log(line.path.slice(0, 44).padEnd(44) + figures.join(''));
    }
  } finally {
    await home.end();
  }
}

await table('An officer after the invented year', clubYearHome(), ['/', '/club', '/people', '/class', '/practise', '/card', '/find?q=ada']);
await table('A newcomer', newcomerHome(), ['/', '/exposure', '/map', '/may', '/find?q=ada']);
