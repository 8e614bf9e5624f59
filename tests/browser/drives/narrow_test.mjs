// The days of the three people on a screen of 360 pixels: no page of them has to be pushed to and fro.

import { test } from 'node:test';

import { Pointer } from '../support/hands.mjs';
import { isNotTooWide, journeys } from '../support/journeys.mjs';

const phone = { viewport: { width: 360, height: 740 }, hasTouch: true };

for (const { what, day } of journeys) {
  test(`${what} on a narrow screen`, () => day({ hand: Pointer, options: phone, look: isNotTooWide }));
}
