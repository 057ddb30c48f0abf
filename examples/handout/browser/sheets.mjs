// Checks of the paper sheets of weekplan by outside tools. Run by check.sh, which
// builds the program into out/.
import { test, before, after } from 'node:test';
import assert from 'node:assert/strict';
import { execFileSync, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import path from 'node:path';
import { chromium } from 'playwright-core';

const here = import.meta.dirname;
const file = (name) => path.join(here, 'out', name);
const require = createRequire(import.meta.url);
const sheets = ['week', 'door', 'vet', 'card'];

let browser;
before(async () => {
  for (const name of sheets) {
    writeFileSync(file(`weekplan-${name}.html`), execFileSync(file('weekplan'), ['-sheet', name, '-format', 'html'], { encoding: 'utf8', maxBuffer: 1 << 26 }));
  }
  browser = await chromium.launch({
    executablePath: '/usr/bin/chromium',
    args: ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
  });
});
after(async () => { await browser?.close(); });

async function open(name, width, options = {}) {
  const context = await browser.newContext({ viewport: { width, height: 800 }, ...options });
  const page = await context.newPage();
  const url = pathToFileURL(file(`weekplan-${name}.html`)).href;
  const asked = [];
  page.on('request', (r) => { if (r.url().split('#')[0] !== url) asked.push(r.url()); });
  await page.goto(url, { waitUntil: 'load' });
  return { page, context, asked };
}

test('HTML is valid by the Nu checker', () => {
  const jar = path.join(path.dirname(require.resolve('vnu-jar/package.json')), 'build/dist/vnu.jar');
  const run = spawnSync('java', ['-jar', jar, '--format', 'json', '--exit-zero-always', ...sheets.map((n) => file(`weekplan-${n}.html`))], { encoding: 'utf8', maxBuffer: 1 << 26 });
  const messages = JSON.parse(run.stderr).messages.filter((m) => !/Trailing slash on void elements/.test(m.message));
  assert.deepEqual(messages.map((m) => `${path.basename(m.url ?? '')}:${m.lastLine}: ${m.message}`), []);
});

test('nothing is asked of the network, and nothing runs', async () => {
  for (const name of sheets) {
    const { page, context, asked } = await open(name, 1000);
    await page.emulateMedia({ media: 'print' });
    assert.deepEqual(asked, [], name);
    assert.equal(await page.locator('script, link:not([href^="data:"]), img, iframe, object, embed').count(), 0, name);
    await context.close();
  }
});

// A table may scroll inside its own box; the page itself may not.
test('usable at the width of a phone', async () => {
  for (const name of sheets) {
    const { page, context } = await open(name, 360);
    const [wide, screen] = await page.evaluate(() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]);
    assert.ok(wide <= screen, `${name} is ${wide} px wide on ${screen}`);
    await context.close();
  }
});

test('no barrier that axe finds', async () => {
  const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
  for (const name of sheets) {
    const { page, context } = await open(name, 1000, { bypassCSP: true });
    await page.evaluate(axe);
    const { violations } = await page.evaluate(() => window.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] }));
    assert.deepEqual(violations.map((v) => `${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map((n) => n.html.slice(0, 120)).join(' | ')}`), [], name);
    await context.close();
  }
});

// Every word of the page has to come out of the printer, on either paper, and
// heads of tables are repeated, which the browser does for thead alone.
test('nothing is cut off on A4 and Letter', async () => {
  const words = (s) => s.normalize('NFKC').replace(/[\s\u00ad]+/g, '');
  for (const name of sheets) {
    for (const format of ['A4', 'Letter']) {
      const { page, context } = await open(name, 1000);
      await page.emulateMedia({ media: 'print' });
      assert.equal(await page.locator('table:not(:has(thead))').count(), 0, `${name}: a table without a head to repeat`);
      const cells = await page.evaluate(() => [...document.querySelectorAll('h1, h2, td, th, li, p')].filter((e) => e.getClientRects().length).map((e) => e.innerText.trim()).filter((t) => t.length > 0 && t.length < 40));
      const pdf = file(`weekplan-${name}-${format}.pdf`);
      await page.pdf({ path: pdf, format, preferCSSPageSize: false });
      const text = words(execFileSync('pdftotext', ['-raw', pdf, '-'], { encoding: 'utf8', maxBuffer: 1 << 26 }));
      const lost = cells.map(words).filter((t) => !text.includes(t));
      assert.ok(lost.length <= cells.length / 50, `${name} on ${format}: ${lost.length} of ${cells.length} lost: ${lost.slice(0, 5).join(' | ')}`);
      if (name === 'vet') {
        const info = execFileSync('pdfinfo', [pdf], { encoding: 'utf8' });
        assert.match(info, /Pages:\s+1\n/, 'the vet note fits one page');
      }
      await context.close();
    }
  }
});
