// The log as another program's parser reads it, and that program's log as we read it: every field the same, both ways.

import assert from 'node:assert/strict';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';

import tcadif from 'tcadif';

import { Home } from '../support/home.mjs';

const { ADIF } = tcadif;

// Our names beside those of the standard.
const fields = {
  worked: 'CALL',
  band: 'BAND',
  frequency: 'FREQ',
  sent: 'RST_SENT',
  received: 'RST_RCVD',
  station: 'STATION_CALLSIGN',
  locator: 'GRIDSQUARE',
  comment: 'COMMENT',
};
// A finer name stands in SUBMODE.
const modes = { USB: ['SSB', 'USB'], FT4: ['MFSK', 'FT4'], PSK31: ['PSK', 'PSK31'] };

const contacts = [
  ['KF1XMD', '--at', '2025-03-02T23:59Z', '--mhz', '146.52', '--mode', 'FM', '--sent', '59', '--received', '57'],
  ['KB1XAA', '--at', '2025-03-03T00:01Z', '--mhz', '14.250', '--mode', 'USB', '--comment', 'says <EOR> and <CALL:6>KB1XZZ'],
  ['KB1XAB', '--at', '2025-03-03T00:20Z', '--mhz', '7.0475', '--mode', 'FT4', '--sent=-12', '--received', '+03'],
  ['KB1XAC', '--at', '2025-03-03T00:40Z', '--band', '70cm', '--mode', 'FM', '--locator', 'FN31pr'],
  ['F/KB1XAD/P', '--at', '2025-03-03T01:00Z', '--mhz', '14.07', '--mode', 'PSK31', '--comment', 'a > b, "c", 100 %'],
  ['KB1XAE', '--at', '2025-03-03T01:20Z', '--mhz', '21.2', '--mode', 'CW', '--guest-of', 'WB0XMN', '--sent', '599'],
];

function licensed() {
  const home = new Home();
  home.command('begin', '--name', 'Ada Example');
  home.command('tick', '3.8', '--on', '2025-01-10', '--evidence', 'certificate in hand');
  home.command('tick', '4.3', '--on', '2025-01-20');
  home.command('tick', '4.6', '--on', '2025-02-01', '--evidence', 'KD0XAA');
  return home;
}

function asStandard(ours) {
  const out = { QSO_DATE: ours.start.slice(0, 10).replaceAll('-', ''), TIME_ON: `${ours.start.slice(11, 16).replace(':', '')}00` };
  for (const [own, theirs] of Object.entries(fields)) if (ours[own] !== '') out[theirs] = ours[own];
  // The other parser gives these in capitals; in the standard they are the same in either case.
  for (const name of ['BAND', 'GRIDSQUARE']) if (out[name]) out[name] = out[name].toUpperCase();
  if (out.FREQ) out.FREQ = String(Number(out.FREQ));
  [out.MODE, out.SUBMODE] = modes[ours.mode] ?? [ours.mode, undefined];
  if (!out.SUBMODE) delete out.SUBMODE;
  if (ours.guest_of) out.OPERATOR = 'KD0XAA';
  return out;
}

const byTime = (a, b) => `${a.QSO_DATE}${a.TIME_ON}`.localeCompare(`${b.QSO_DATE}${b.TIME_ON}`);

test('another parser reads our log, and we read its log, with every field the same', async () => {
  const home = licensed();
  const other = licensed();
  try {
    for (const words of contacts) home.command('contact', ...words);
    const file = join(home.folder, 'log.adi');
    home.command('contact', '--to-adi', file);
    const ours = home.json('contact').map(asStandard).sort(byTime);
    const theirs = ADIF.parse(readFileSync(file, 'utf8')).toObject().qsos.map((one) => ({ ...one })).sort(byTime);
    assert.equal(theirs.length, contacts.length);
    assert.deepEqual(theirs, ours);

    const back = join(other.folder, 'back.adi');
    writeFileSync(back, new ADIF({ qsos: theirs }).stringify());
    const taken = other.json('contact', '--from-adi', back);
    assert.equal(taken.added, contacts.length);
    assert.equal(taken.as_guest, 1);
    assert.deepEqual(taken.left_out, []);
    assert.deepEqual(other.json('contact').map(asStandard).sort(byTime), ours);
    assert.equal(other.json('contact', '--from-adi', back).known, contacts.length);
  } finally {
    await home.end();
    await other.end();
  }
});
