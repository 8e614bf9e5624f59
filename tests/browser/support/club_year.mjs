// The officer's store after the invented year that ends today, made by tests/club_year.

import { execFileSync } from 'node:child_process';
import { join } from 'node:path';

import { Home } from './home.mjs';

export function clubYearHome() {
  const program = process.env.LADDERLINE_CLUB_YEAR;
  if (!program) throw new Error('LADDERLINE_CLUB_YEAR names no program.');
  const home = new Home();
  const today = new Date().toISOString().slice(0, 10);
  execFileSync(program, [home.home, join(home.folder, 'words'), today], { env: home.env });
  return home;
}

// How many sheets the page takes.
export async function sheets(page, format) {
  const pdf = await page.pdf({ format, preferCSSPageSize: false, margin: { top: '15mm', bottom: '15mm', left: '15mm', right: '15mm' } });
  return pdf.toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g)?.length ?? 0;
}
