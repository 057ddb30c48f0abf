// Checks of the handout by outside tools. Run by check.sh, which builds the
// program and installs the tools.
import { test, before, after } from 'node:test';
import assert from 'node:assert/strict';
import { execFileSync, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import path from 'node:path';
import { chromium } from 'playwright-core';
import Ajv from 'ajv/dist/2020.js';
import { Cite } from '@citation-js/core';
import '@citation-js/plugin-csl';
import '@citation-js/plugin-bibtex';

const here = import.meta.dirname;
const file = (name) => path.join(here, 'out', name);
const require = createRequire(import.meta.url);

// handout runs the program and returns what it wrote.
function handout(...args) {
  return execFileSync(file('handout'), args, { encoding: 'utf8', maxBuffer: 1 << 26 });
}

const rescue = ['-for', 'Brackenford Ferret Rescue', '-as-of', '2026-11-25'];
const sheets = {
  short: [...rescue],
  long: ['-long', ...rescue],
  blank: ['-topics', 'sitter'],
  page: ['-topics', 'ratios', ...rescue],
  arabic: ['-topics', 'setout', '-for', 'ملجأ القوارض 12 <b>&', '-as-of', '2026-11-25'],
  wide: ['-topics', 'calcium', '-for', '🦦'.repeat(20) + 'x'.repeat(100)],
};

let browser;
before(async () => {
  for (const [name, args] of Object.entries(sheets)) {
    writeFileSync(file(name + '.html'), handout('-format', 'html', ...args));
  }
  browser = await chromium.launch({
    executablePath: '/usr/bin/chromium',
    args: ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
  });
});
after(async () => { await browser?.close(); });

// open shows a sheet and counts every request but the one for the sheet.
async function open(name, width, options = {}) {
  const context = await browser.newContext({ viewport: { width, height: 800 }, ...options });
  const page = await context.newPage();
  const asked = [];
  const url = pathToFileURL(file(name + '.html')).href;
  page.on('request', (r) => { if (r.url().split('#')[0] !== url) asked.push(r.url()); });
  const said = [];
  page.on('console', (m) => said.push(m.text()));
  page.on('pageerror', (e) => said.push(String(e)));
  await page.goto(url, { waitUntil: 'load' });
  return { page, context, asked, said };
}

test('HTML is valid by the Nu checker', () => {
  const jar = path.join(path.dirname(require.resolve('vnu-jar/package.json')), 'build/dist/vnu.jar');
  const run = spawnSync('java', ['-jar', jar, '--format', 'json', '--exit-zero-always', ...Object.keys(sheets).map((n) => file(n + '.html'))], { encoding: 'utf8', maxBuffer: 1 << 26 });
  assert.equal(run.status, 0, run.stderr);
  const messages = JSON.parse(run.stderr).messages.filter((m) => !/Trailing slash on void elements/.test(m.message));
  assert.deepEqual(messages.map((m) => `${path.basename(m.url ?? '')}:${m.lastLine}: ${m.message}`), []);
});

test('the Nu checker would have found a fault', () => {
  const jar = path.join(path.dirname(require.resolve('vnu-jar/package.json')), 'build/dist/vnu.jar');
  writeFileSync(file('broken.html'), readFileSync(file('blank.html'), 'utf8').replace('<main>', '<main><p><table></p>'));
  const run = spawnSync('java', ['-jar', jar, '--format', 'json', '--exit-zero-always', file('broken.html')], { encoding: 'utf8' });
  assert.ok(JSON.parse(run.stderr).messages.some((m) => m.type === 'error'));
});

test('nothing is asked of the network, and nothing runs', async () => {
  for (const name of Object.keys(sheets)) {
    const { page, context, asked, said } = await open(name, 1000);
    await page.emulateMedia({ media: 'print' });
    assert.deepEqual(asked, [], name);
    assert.deepEqual(said, [], name);
    assert.equal(await page.locator('script, link, img, iframe, object, embed').count(), 0, name);
    await context.close();
  }
});

// 320 px is the width of WCAG 2.2, success criterion 1.4.10 (reflow).
test('usable from 320 px to a wide screen', async () => {
  for (const name of Object.keys(sheets)) {
    for (const width of [320, 360, 768, 1280]) {
      const { page, context } = await open(name, width);
      const found = await page.evaluate(() => {
        const out = [];
        const wide = document.documentElement.clientWidth;
        if (document.documentElement.scrollWidth > wide) out.push(`page is ${document.documentElement.scrollWidth} wide`);
        for (const e of document.querySelectorAll('body *')) {
          if (wide <= 544 && e.closest('thead')) continue; // heads are shown with each cell there
          const b = e.getBoundingClientRect();
          if (b.width > 0 && (b.right > wide + 0.5 || b.left < -0.5)) out.push(`${e.tagName} "${e.textContent.slice(0, 40)}" reaches ${b.left} to ${b.right}`);
          if (e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0 && getComputedStyle(e).overflowX !== 'visible') out.push(`${e.tagName} is cut off`);
          const size = parseFloat(getComputedStyle(e).fontSize);
          if (e instanceof HTMLElement && e.textContent.trim() && size < 10) out.push(`${e.tagName} "${e.textContent.slice(0, 40)}" has ${size} px`);
        }
        for (const t of document.querySelectorAll('svg text')) {
          const scale = t.ownerSVGElement.getBoundingClientRect().width / t.ownerSVGElement.viewBox.baseVal.width;
          if (10.5 * scale < 8.5) out.push(`plot text "${t.textContent}" is ${10.5 * scale} px`);
          const b = t.getBBox(), box = t.ownerSVGElement.viewBox.baseVal;
          if (b.x < -0.5 || b.x + b.width > box.width + 0.5 || b.y + b.height > box.height + 0.5) out.push(`plot text "${t.textContent}" leaves its plot`);
        }
        // A cell so narrow that words come apart letter by letter is of no use; on
        // a narrow screen every cell has the whole width.
        for (const c of document.querySelectorAll('tbody th, tbody td')) {
          const b = c.getBoundingClientRect();
          if (c.textContent.trim().length > 3 && b.width > 0 && b.width < (wide <= 544 ? wide * 0.85 : 40)) out.push(`cell "${c.textContent.slice(0, 30)}" is ${b.width} px`);
        }
        return [...new Set(out)];
      });
      assert.deepEqual(found, [], `${name} at ${width} px`);
      await context.close();
    }
  }
});

test('words of a plot do not lie on each other', async () => {
  const { page, context } = await open('long', 1000);
  const clash = await page.evaluate(() => [...document.querySelectorAll('svg')].flatMap((svg) => {
    const t = [...svg.querySelectorAll('text')].map((e) => [e.textContent, e.getBBox()]);
    return t.flatMap(([a, x], i) => t.slice(i + 1).filter(([, y]) => x.x < y.x + y.width && y.x < x.x + x.width && x.y + 2 < y.y + y.height && y.y + 2 < x.y + x.height).map(([b]) => `${a} / ${b}`));
  }));
  assert.deepEqual(clash, []);
  await context.close();
});

test('no barrier that axe finds', async () => {
  const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
  for (const name of ['short', 'long', 'blank', 'arabic']) {
    for (const width of [360, 1000]) {
      const { page, context } = await open(name, width, { bypassCSP: true });
      await page.evaluate(axe);
      const { violations } = await page.evaluate(() => window.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }));
      assert.deepEqual(violations.map((v) => `${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map((n) => n.html.slice(0, 120)).join(' | ')}`), [], `${name} at ${width} px`);
      await context.close();
    }
  }
});

test('a screen reader meets tables, headings and plots by name', async () => {
  const { page, context } = await open('short', 1000);
  const tree = await page.locator('body').ariaSnapshot();
  for (const want of [/heading "Raw food for ferrets.*" \[level=1\]/, /heading "Time out of the fridge, and storage" \[level=2\]/, /table "Bone in bone-in cuts"/, /img "Calcium to phosphorus of foods, against the range aimed at/, /rowheader "Chicken wing"/, /columnheader "Of it bone"/, /navigation "Topics"/]) {
    assert.match(tree, want);
  }
  await context.close();
});

// On a narrow screen cells stand below each other; the browser must still call
// them cells of a table.
test('a table stays a table on a narrow screen', async () => {
  const { page, context } = await open('page', 360);
  const cdp = await context.newCDPSession(page);
  const { nodes } = await cdp.send('Accessibility.getFullAXTree');
  const roles = (r) => nodes.filter((n) => n.role?.value === r && !n.ignored).length;
  const dom = await page.evaluate(() => ({ table: document.querySelectorAll('table').length, rowheader: document.querySelectorAll('tbody th').length, columnheader: document.querySelectorAll('thead th').length, row: document.querySelectorAll('tr').length }));
  for (const [r, n] of Object.entries(dom)) assert.equal(roles(r), n, r);
  await context.close();
});

test('black, white and grey alone', async () => {
  const { page, context } = await open('long', 1000);
  const colours = await page.evaluate(() => {
    const out = new Set();
    for (const e of document.querySelectorAll('body, body *')) {
      const s = getComputedStyle(e);
      for (const p of ['color', 'backgroundColor', 'borderTopColor', 'borderBottomColor', 'fill', 'stroke']) out.add(s[p]);
    }
    return [...out];
  });
  for (const c of colours) {
    const m = c.match(/^rgba?\((\d+), (\d+), (\d+)/);
    assert.ok(!m || (m[1] === m[2] && m[2] === m[3]), c);
  }
  await context.close();
});

test('the name stays text, and in its own direction', async () => {
  const { page, context } = await open('arabic', 360);
  const name = page.locator('bdi');
  assert.equal(await name.textContent(), 'ملجأ القوارض 12 <b>&');
  assert.equal(await name.locator('*').count(), 0);
  const [label, bdi] = await page.evaluate(() => {
    const b = document.querySelector('bdi');
    return [b.parentElement.firstChild, b].map((n) => { const r = document.createRange(); r.selectNode(n); return r.getBoundingClientRect().left; });
  });
  assert.ok(label < bdi, 'the label stands left of the name');
  await context.close();
});

// ---- paper ----

const points = { A4: [595, 842], Letter: [612, 792] };

// print returns the pages of a sheet, each with its words and their places.
async function print(name, format) {
  const { page, context } = await open(name, 1000);
  const pdf = file(`${name}-${format}.pdf`);
  await page.pdf({ path: pdf, format, preferCSSPageSize: false, printBackground: false });
  await page.emulateMedia({ media: 'print' });
  const dom = await page.evaluate(() => ({
    words: [...document.querySelectorAll('header, main, footer')].map((e) => e.innerText).join('\n').split(/\s+/).filter(Boolean),
    tables: [...document.querySelectorAll('table')].map((t) => ({
      caption: t.caption.innerText, heads: [...t.tHead.rows[0].cells].map((c) => c.innerText), rows: [...t.tBodies[0].rows].map((r) => r.cells[0].innerText), brief: t.classList.contains('brief'),
    })),
    headings: [...document.querySelectorAll('h2, h3')].map((h) => h.innerText),
  }));
  await context.close();
  const xml = execFileSync('pdftotext', ['-bbox', pdf, '-'], { encoding: 'utf8', maxBuffer: 1 << 27 });
  const text = (s) => s.replace(/&lt;/g, '<').replace(/&gt;/g, '>').replace(/&quot;/g, '"').replace(/&(?:apos|#39);/g, "'").replace(/&amp;/g, '&');
  const pages = [...xml.matchAll(/<page width="([\d.]+)" height="([\d.]+)">(.*?)<\/page>/gs)].map(([, w, h, body]) => ({
    w: Number(w), h: Number(h),
    words: [...body.matchAll(/<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)<\/word>/gs)].map(([, x0, y0, x1, y1, s]) => ({ x0: +x0, y0: +y0, x1: +x1, y1: +y1, s: text(s) })),
  }));
  return { pages, dom };
}

// top is the word that begins a page.
const top = (p) => p.words.reduce((a, b) => (b.y0 < a.y0 - 1 || (Math.abs(b.y0 - a.y0) <= 1 && b.x0 < a.x0) ? b : a)).s;

const squeeze = (s) => s.replace(/[\s\u00a0]+/g, '');

for (const format of ['A4', 'Letter']) {
  for (const name of ['short', 'long', 'page', 'blank']) {
    test(`${name} on ${format}: all of it, inside the margins`, async () => {
      const { pages, dom } = await print(name, format);
      for (const [i, p] of pages.entries()) {
        assert.ok(Math.abs(p.w - points[format][0]) < 2 && Math.abs(p.h - points[format][1]) < 2, `page ${i + 1} is ${p.w} x ${p.h}`);
        assert.ok(p.words.length > 3, `page ${i + 1} is empty`);
        for (const w of p.words) {
          // 10 mm is 28 points: what home printers can reach.
          assert.ok(w.x0 > 28 && w.x1 < p.w - 28 && w.y0 > 28 && w.y1 < p.h - 20, `page ${i + 1}: "${w.s}" at ${w.x0}, ${w.y0} to ${w.x1}, ${w.y1}`);
        }
      }
      // Every letter that the page shows stands on paper: counted by character,
      // since words may be parted differently.
      const count = (s) => { const m = new Map(); for (const c of s) m.set(c, (m.get(c) ?? 0) + 1); return m; };
      const have = count(squeeze(pages.map((p) => p.words.map((w) => w.s).join('')).join('')));
      for (const [c, n] of count(squeeze(dom.words.join('')))) {
        if (/[\p{L}\p{N}]/u.test(c)) assert.ok((have.get(c) ?? 0) >= n, `"${c}": ${have.get(c) ?? 0} of ${n} on paper`);
      }
      // A head at the foot of a page, without what it heads, is of no use.
      const paper = pages.map((p) => squeeze(p.words.map((w) => w.s).join('')));
      for (const h of dom.headings) {
        const at = paper.findIndex((t) => t.includes(squeeze(h)));
        assert.ok(at >= 0, `heading "${h}" is not on paper`);
        assert.ok(!paper[at].replace(/\d+\/\d+$/, '').endsWith(squeeze(h)), `heading "${h}" ends its page`);
      }
    });

    test(`${name} on ${format}: table heads go with their rows`, async () => {
      const { pages, dom } = await print(name, format);
      const paper = pages.map((p) => squeeze(p.words.map((w) => w.s).join('')));
      const everything = paper.join('');
      const all = dom.tables.flatMap((t) => t.rows.map(squeeze));
      let broken = 0;
      for (const t of dom.tables) {
        const rows = t.rows.map(squeeze).filter((r) => r.length > 14 && all.indexOf(r) === all.lastIndexOf(r) && everything.split(r).length === 2);
        const on = new Set(rows.map((r) => paper.findIndex((p) => p.includes(r))).filter((p) => p >= 0));
        const first = Math.min(...on);
        const words = t.heads.flatMap((h) => h.split(/[\s\u00a0]+/)).filter(Boolean);
        for (const p of on) {
          const have = new Set(pages[p].words.map((w) => w.s));
          for (const w of words) assert.ok(have.has(w), `"${t.caption}", page ${p + 1}: no "${w}" of its head`);
          // Where it goes on, the head is what the page begins with.
          if (p > first) assert.ok(words.includes(top(pages[p])), `"${t.caption}", page ${p + 1} begins with "${top(pages[p])}", not with its head`);
        }
        if (on.size > 1) broken++;
        if (t.brief) assert.ok(on.size < 2, `"${t.caption}" is short and parted`);
        const caption = paper.findIndex((p) => p.includes(squeeze(t.caption)));
        if (everything.split(squeeze(t.caption)).length === 2) {
          const row = t.rows[0].split(/[\s\u00a0]+/);
          const have = new Set(pages[caption].words.map((w) => w.s));
          for (const w of [...words, ...row]) assert.ok(have.has(w), `"${t.caption}" on page ${caption + 1} stands apart from its table: no "${w}"`);
        }
      }
      if (name === 'long') assert.ok(broken > 0, 'no table runs over a page: repeated heads were not checked');
    });
  }
}

test('short enough to give away', async () => {
  for (const [topic, most] of [['style', 3], ['ratios', 4], ['setout', 5], ['calcium', 3], ['sitter', 4]]) {
    writeFileSync(file('one.html'), handout('-format', 'html', '-topics', topic, ...rescue));
    const { pages } = await print('one', 'A4');
    assert.ok(pages.length <= most, `${topic}: ${pages.length} pages`);
  }
});

// ---- data ----

test('JSON keeps its schema', () => {
  const ajv = new Ajv({ allErrors: true, strict: true });
  const validate = ajv.compile(JSON.parse(handout('-format', 'schema')));
  for (const args of [...Object.values(sheets), ['-long']]) {
    validate(JSON.parse(handout('-format', 'json', ...args)));
    assert.deepEqual(validate.errors ?? [], []);
  }
  const wrong = JSON.parse(handout('-format', 'json', '-topics', 'style'));
  wrong.notes[0].evidence = 'memory';
  assert.equal(validate(wrong), false, 'the schema accepts anything');
});

test('citations are read by another program', () => {
  const sources = JSON.parse(handout('-format', 'json', '-long')).sources;
  const csl = new Cite(handout('-format', 'csl', '-long')).data;
  assert.deepEqual(csl.map((c) => c.id), sources.map((s) => s.key));
  const bib = new Cite(handout('-format', 'bib', '-long')).data;
  assert.deepEqual(bib.map((c) => c.id), sources.map((s) => s.key));
  const bare = (s) => s.replace(/<[^>]*>/g, '').replace(/[\s\u00a0]+/g, ' ');
  for (const [i, s] of sources.entries()) {
    assert.equal(bare(bib[i].title), bare(s.title), s.key);
    assert.equal(csl[i].title, s.title);
    if (/^\d{4}$/.test(s.year ?? '')) {
      assert.equal(bib[i].issued['date-parts'][0][0], Number(s.year), s.key);
      assert.equal(csl[i].issued['date-parts'][0][0], Number(s.year), s.key);
    }
    assert.equal(csl[i].DOI, bib[i].DOI, s.key);
  }
  const shown = new Cite(handout('-format', 'csl', '-topics', 'setout')).format('bibliography', { template: 'apa', lang: 'en-GB' });
  assert.match(shown, /Food Safety and Inspection Service/);
});
