// What axe-core finds on the page as it stands; an empty list where no rule is broken.

import { createRequire } from 'node:module';

const axe = createRequire(import.meta.url).resolve('axe-core/axe.min.js');

export async function violations(page) {
  await page.addScriptTag({ path: axe });
  const found = await page.evaluate(() =>
    window.axe.run({ runOnly: { type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] } }),
  );
  return found.violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.target.join(' ')).join(', ')}`);
}
