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

  // How an item stands, as this node knows it, such as "signed, alone"; `whose` way, none for its owner's.
  stateOf(item, ...whose) {
    return this.json('way', ...whose).stages.flatMap((stage) => stage.items).find((one) => one.id === item)?.state;
  }

  // Starts the node, on the port of the former run if it ran before; gives the address of its pages.
  run() {
    const listen = `127.0.0.1:${this.port ?? 0}`;
    this.node = spawn(program, ['--home', this.home, 'run', '--listen', listen], { env: this.env });
    return new Promise((resolve, reject) => {
      let said = '';
      this.node.stdout.on('data', (part) => {
        said += part;
        this.port = said.match(/reach this one on port (\d+)/)?.[1] ?? this.port;
        const found = said.match(/https?:\/\/\S+/);
        if (found) resolve(found[0]);
      });
      this.node.on('exit', () => reject(new Error(`The node ended: ${said}`)));
    });
  }

  // From now on this store's clock is so many days ahead; its node must not run.
  setLater(days) {
    const clock = process.env.LADDERLINE_LATER_CLOCK;
    if (!clock) throw new Error('LADDERLINE_LATER_CLOCK names no library.');
    const asan = [process.env.ASAN_OPTIONS, 'verify_asan_link_order=0'].filter(Boolean).join(':');
    this.env = { ...this.env, LD_PRELOAD: clock, LADDERLINE_LATER_DAYS: String(days), ASAN_OPTIONS: asan };
  }

  async stop() {
    if (!this.node || this.node.exitCode !== null) return;
    const over = new Promise((resolve) => this.node.once('exit', resolve));
    this.node.kill('SIGTERM');
    await over;
  }

  async end() {
    await this.stop();
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
