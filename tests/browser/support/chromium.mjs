// Headless Chromium that reaches nothing but this machine.

import { chromium } from 'playwright-core';

const places = process.env.LADDERLINE_CHROMIUM ?? '/usr/bin/chromium';

// Calls `drive(page, strangers)`; `strangers` collects addresses asked for that are not of this machine. `words` go to
// Chromium's command line.
export async function withPage(drive, options = {}, words = []) {
  const browser = await chromium.launch({ executablePath: places, args: ['--no-sandbox', ...words] });
  try {
    const context = await browser.newContext(options);
    const page = await context.newPage();
    const strangers = [];
    page.on('request', (request) => {
      if (!['127.0.0.1', 'localhost', '[::1]'].includes(new URL(request.url()).hostname)) strangers.push(request.url());
    });
    await drive(page, strangers);
  } finally {
    await browser.close();
  }
}
