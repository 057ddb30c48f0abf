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

// The embedded household with other names: from right to left, in two scripts,
// with digits and brackets in them; and too long for any column, in one word and
// in many.
const homes = {
  rtl: {
    'Brackenford Ferret Rescue': 'מקלט החמוסים (2)', Bramble: 'דובי', Sorrel: 'شمس 7', Thistle: 'קוץ (2)', Rowan: 'سنجاب', Fern: 'שרך, הקטנה', Moss: 'طحلب!',
  },
  long: {
    'Brackenford Ferret Rescue': 'The Brackenford Ferret Rescue and Rehoming Society of the Northern Fells, the Vale and the Islands',
    Bramble: 'Brambleberrybushundertheoldstonebridgebehindtheferretrescue', Sorrel: 'Sorrel of the Seven Springs above the Mill, called Little Madam by her first family',
    Moss: 'Mossymossymossymossymossymossymossymossymossymossymossymossymossymossy',
  },
};
const named = Object.keys(homes).flatMap((home) => sheets.map((name) => [home, name, `${name}-${home}`]));

let browser;
before(async () => {
  for (const name of sheets) {
    writeFileSync(file(`weekplan-${name}.html`), execFileSync(file('weekplan'), ['-sheet', name, '-format', 'html'], { encoding: 'utf8', maxBuffer: 1 << 26 }));
  }
  const household = readFileSync(path.join(here, '../../weekplan/household.yaml'), 'utf8');
  for (const [home, names] of Object.entries(homes)) {
    let text = household;
    for (const [old, own] of Object.entries(names)) {
      assert.match(text, new RegExp(`(household|name): ${old}\n`));
      text = text.replace(new RegExp(`(household|name): ${old}\n`), `$1: "${own}"\n`);
    }
    writeFileSync(file(`${home}.yaml`), text);
    for (const name of sheets) {
      const out = spawnSync(file('weekplan'), ['-sheet', name, '-format', 'html', '-household', file(`${home}.yaml`)], { encoding: 'utf8', maxBuffer: 1 << 26 });
      assert.ok(out.status < 2, out.stderr);
      writeFileSync(file(`weekplan-${name}-${home}.html`), out.stdout);
    }
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
  const run = spawnSync('java', ['-jar', jar, '--format', 'json', '--exit-zero-always', ...[...sheets, ...named.map((n) => n[2])].map((n) => file(`weekplan-${n}.html`))], { encoding: 'utf8', maxBuffer: 1 << 26 });
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
  for (const name of [...sheets, ...named.map((n) => n[2])]) {
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

// Every piece of text lies inside the box it belongs to, on the screen and on
// either paper. A table on a small screen may be wider than its own scrolling box.
test('names of any length stay in their boxes', async () => {
  for (const [home, name, sheet] of named) {
    for (const [what, width, media] of [['phone', 360, 'screen'], ['screen', 1000, 'screen'], ['A4', 700, 'print'], ['Letter', 730, 'print']]) {
      const { page, context } = await open(sheet, width);
      await page.emulateMedia({ media });
      const [texts, out] = await page.evaluate(() => {
        const out = [];
        let texts = 0;
        const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
        for (let n = walk.nextNode(); n; n = walk.nextNode()) {
          const box = n.parentElement.closest('td, th, caption, li, p, h1, h2, h3');
          if (!n.data.trim() || !box || box.closest('svg') || box.classList.contains('quiet')) continue;
          texts++;
          const range = document.createRange();
          range.selectNodeContents(n);
          const b = box.getBoundingClientRect();
          for (const r of range.getClientRects()) {
            if (r.width > 0 && (r.left < b.left - 1 || r.right > b.right + 1)) { out.push(`${n.data.trim().slice(0, 40)} ${Math.round(r.left - b.left)}..${Math.round(r.right - b.right)}`); break; }
          }
        }
        return [texts, out];
      });
      assert.ok(texts > 50, `${sheet}: ${texts} pieces of text`);
      assert.deepEqual(out.slice(0, 5), [], `${sheet} on ${what}`);
      await context.close();
    }
  }
});

// A name from right to left does not turn the text around it: what is written
// before it stands to its left, what is written after it to its right, and the
// letters of the name itself run from right to left.
test('names from right to left keep the reading order', async () => {
  for (const [home, name, sheet] of named.filter(([home]) => home === 'rtl')) {
    const { page, context } = await open(sheet, 1000);
    const seen = await page.evaluate((names) => {
      const wrong = [];
      let apart = 0, beside = 0, loose = 0;
      const edge = (node, at) => { // the box of one character
        const r = document.createRange();
        r.setStart(node, at); r.setEnd(node, at + 1);
        return r.getClientRects()[0];
      };
      const line = (a, b) => a && b && a.width > 0 && b.width > 0 && Math.abs(a.top + a.height / 2 - b.top - b.height / 2) < a.height / 2;
      for (const e of document.querySelectorAll('bdi')) {
        if (!e.getClientRects().length || e.closest('.quiet')) continue;
        const text = e.textContent, node = e.firstChild;
        apart++;
        if (getComputedStyle(e).direction !== 'rtl' && e.dir !== 'auto' && !e.matches(':dir(rtl)')) wrong.push(`${text} does not run from right to left`);
        if (!names.includes(text)) wrong.push(`${text} is no name`);
        const first = edge(node, 0), last = edge(node, text.length - 1);
        if (line(first, last) && last.left >= first.left) wrong.push(`${text}: its letters run from left to right`);
        const box = [...e.getClientRects()];
        const before = e.previousSibling, after = e.nextSibling;
        if (before?.nodeType === 3) {
          const c = edge(before, before.data.length - 1);
          if (line(c, box[0])) { beside++; if (c.right > box[0].left + 1) wrong.push(`${text}: ${before.data} stands right of it`); }
        }
        if (after?.nodeType === 3) {
          const c = edge(after, 0), b = box[box.length - 1];
          if (line(c, b)) { beside++; if (c.left < b.right - 1) wrong.push(`${text}: ${after.data} stands left of it`); }
        }
      }
      const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
      for (let n = walk.nextNode(); n; n = walk.nextNode()) {
        if (/[\u0590-\u06ff]/.test(n.data) && !n.parentElement.closest('bdi, title, desc, style')) { loose++; wrong.push(`not set apart: ${n.data.slice(0, 60)}`); }
      }
      return { wrong: wrong.slice(0, 5), apart, beside };
    }, Object.values(homes.rtl));
    assert.deepEqual(seen.wrong, [], sheet);
    assert.ok(seen.apart > 5 && seen.beside > 0, `${sheet}: ${seen.apart} names, ${seen.beside} of them beside other text`);
    await context.close();
  }
});
