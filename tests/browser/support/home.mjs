// A store and its node for one drive: a folder of its own, port 0, ended by the drive.

import { execFileSync, spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const program = process.env.LADDERLINE_PROGRAM;
if (!program) throw new Error('LADDERLINE_PROGRAM names no program.');

export class Home {
  constructor() {
    this.folder = mkdtempSync(join(tmpdir(), 'ladderline-drive.'));
    this.home = join(this.folder, 'home');
    const words = join(this.folder, 'words');
    writeFileSync(words, 'made-up words for a drive of the pages\n', { mode: 0o600 });
    this.env = { ...process.env, LADDERLINE_PASSPHRASE_FILE: words, LADDERLINE_PASSPHRASE_MEMORY_MIB: '64' };
  }

  // One command; what it prints.
  command(...words) {
    return execFileSync(program, ['--home', this.home, ...words], { env: this.env, encoding: 'utf8' });
  }

  json(...words) {
    return JSON.parse(this.command(...words, '--json'));
  }

  // Starts the node; gives the address of its pages.
  run() {
    this.node = spawn(program, ['--home', this.home, 'run', '--listen', '127.0.0.1:0'], { env: this.env });
    return new Promise((resolve, reject) => {
      let said = '';
      this.node.stdout.on('data', (part) => {
        said += part;
        const found = said.match(/https?:\/\/\S+/);
        if (found) resolve(found[0]);
      });
      this.node.on('exit', () => reject(new Error(`The node ended: ${said}`)));
    });
  }

  async end() {
    if (this.node && this.node.exitCode === null) {
      const over = new Promise((resolve) => this.node.once('exit', resolve));
      this.node.kill('SIGTERM');
      await over;
    }
    rmSync(this.folder, { recursive: true, force: true });
  }

  // A command that talks, on a terminal of its own. `answer(text)` gets what was printed since the last answer, once it
  // ends with `prompt`, and gives the line to type.
  talk(words, prompt, answer) {
    const line = [program, '--home', this.home, ...words].map((word) => `'${word}'`).join(' ');
    const child = spawn('script', ['-qec', line, '/dev/null'], { env: this.env });
    return new Promise((resolve, reject) => {
      let text = '';
      child.stdout.on('data', (part) => {
        text += String(part).replaceAll('\r', '');
        if (!text.endsWith(prompt)) return;
        const asked = text;
        text = '';
        child.stdin.write(`${answer(asked)}\n`);
      });
      child.on('error', reject);
      child.on('exit', (code) => (code === 0 ? resolve(text) : reject(new Error(`It ended with ${code}: ${text}`))));
    });
  }
}
