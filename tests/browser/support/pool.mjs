// A pool of invented items in the published plain-text layout, for drives without check data: 35 groups of 12.

import { existsSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

const letters = 'ABCD';

function item(group, number) {
  const id = `${group}${String(number).padStart(2, '0')}`;
  const right = number % 4;
  const choices = [...letters].map((letter, i) => `${letter}. Marker ${group} ${number} ${i === right ? 'true' : i}`);
  return `${id} (${letters[right]})\nWhich marker belongs to place ${number} of row ${group}?\n${choices.join('\n')}\n~~\n`;
}

export function inventedPool() {
  let text = 'Invented Element 3 Question Pool\nEffective 7/01/2023 - 6/30/2027\n\n';
  for (let i = 0; i < 35; ++i) {
    const group = `G${Math.floor(i / 5)}${'ABCDE'[i % 5]}`;
    if (i % 5 === 0) text += `SUBELEMENT G${i / 5} - Row ${i / 5} [5 Exam Questions - 5 Groups]\n\n`;
    text += `${group} - Place ${i} of the table\n\n`;
    for (let number = 1; number <= 12; ++number) text += `${item(group, number)}\n`;
  }
  return `${text}~~~end of question pool text~~~\n`;
}

// The published pool of the check data where it is, else the invented one written to `folder`.
export function poolFile(folder) {
  const published = join(process.env.LADDERLINE_CHECK_DATA ?? '/nowhere', 'pools', 'general-2023-2027.txt');
  if (existsSync(published)) return published;
  const file = join(folder, 'pool.txt');
  writeFileSync(file, inventedPool());
  return file;
}
