// html_check.mjs FOLDER -- see html.sh. FOLDER has NAME.html, NAME.json and
// NAME.trace of one run each; beside.html is of two. The pages of other
// commands stand against their JSON in pages_agree.py.
//
// Accessibility: WCAG 2.1, as axe-core reads it. A4: ISO 216, 210 mm wide;
// a CSS pixel is 1/96 inch (CSS Values and Units Level 3, 6.2).
import { readFileSync, readdirSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { createRequire } from 'node:module';
import path from 'node:path';

const folder = process.argv[2];
const require = createRequire(path.join(folder, 'html_check.mjs'));
const { chromium } = require('playwright-core');
const axeSource = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');

let failed = 0;
let checked = 0;
const check = (holds, what) => {
  checked++;
  if (holds) return;
  failed++;
  console.log('does not hold: ' + what);
};
const equal = (seen, expected, what) =>
  check(seen === expected, `${what}: ${seen}; expected ${expected}`);

const file = (name) => path.join(folder, name);
const json = (name) => JSON.parse(readFileSync(file(name + '.json'), 'utf8'));

// --- what the page shows ----------------------------------------------------

// All spans and rail points of the timeline of a page.
const shown = (page) => page.evaluate(() => ({
  spans: [...document.querySelectorAll('.strips [data-lane]')].map((g) => ({
    lane: g.dataset.lane, index: g.dataset.index, value: g.dataset.value,
    from: g.dataset.from, to: g.dataset.to,
    title: g.querySelector('title').textContent })),
  points: [...document.querySelectorAll('.strips [data-mv]')].map((c) => ({
    at: c.dataset.at, mv: c.dataset.mv })),
  starts: [...document.querySelectorAll('.strips .start')].map((g) => ({
    n: Number(g.dataset.start), at: g.dataset.at })),
  cards: [...document.querySelectorAll('.card[data-start]')].map((c) => ({
    n: Number(c.dataset.start), text: c.textContent })),
}));

// The value of a lane just after an instant, or undefined.
const valueAt = (picture, lane, at, index = '0') => {
  const span = picture.spans.find((s) => s.lane === lane &&
    s.index === index && BigInt(s.from) <= at && BigInt(s.to) > at);
  return span && span.value;
};

// --- the trace, read by a second reader -------------------------------------

const readTrace = (name) => readFileSync(file(name + '.trace'), 'utf8')
  .split('\n').filter((line) => line && line[0] !== '#').map((line) => {
    const [time, , kind, ...rest] = line.trim().split(/\s+/);
    const [ns, ps] = time.split('.');
    return { at: BigInt(ns) * 1000n + BigInt(ps), kind,
      ...Object.fromEntries(rest.map((word) => word.split('='))) };
  });

// The watchdog: from its own records on until a reset that stops it, by the
// part's file, or the loss of power; what bit is told up to the next start.
const watch = (state, r, part) => {
  const bitten = ['expired', 'fed too early'].includes(state.watchdog);
  const row = r.kind === 'reset' &&
    part.resets.find((one) => one.cause === r.cause);
  if (r.kind === 'watchdog' && state.watchdog !== 'fed too early')
    state.watchdog = { started: 'counting', fed: 'fed', expired: 'expired',
      'fed-too-early': 'fed too early' }[r.what];
  else if (row && row.watchdog === 'stop' && !bitten ||
      r.kind === 'start' && bitten || r.kind === 'phase' && r.to === 'off')
    delete state.watchdog;
};

// What the records up to an instant leave: the last word of each.
const stateAt = (records, at, part) => {
  const state = { pins: {} };
  for (const r of records) {
    if (r.at > at) break;
    if (r.kind === 'line') state.line = r.level;
    if (r.kind === 'latch') state.held = r.value;
    if (r.kind === 'latch' && r.by === 'check') state.fresh = r.value;
    if (r.kind === 'fresh') state.fresh = r.value;
    if (r.kind === 'pin') state.pins[r.pin] = r.drive;
    if (r.kind === 'enter') state.region = r.region;
    if (r.kind === 'core') state.mode = r.mode;
    if (r.kind === 'phase') state.off = r.to === 'off';
    watch(state, r, part);
  }
  return state;
};

const compareWithTrace = (name, picture) => {
  const part = JSON.parse(readFileSync(
    path.join(folder, 'models', json(name).part + '.json'), 'utf8'));
  const records = readTrace(name);
  const times = [...new Set(records.map((r) => r.at))];
  const pinLane = (pin) => picture.spans.find((s) => s.lane === 'pin' &&
    s.title.startsWith(`driven: ${pin}:`) ||
    s.title.startsWith(`driven: ${pin},`));
  for (let i = 0; i + 1 < times.length; i++) {
    const at = (times[i] + times[i + 1]) / 2n;
    const state = stateAt(records, at, part);
    const where = `${name} at ${at} ps: `;
    equal(valueAt(picture, 'line', at), state.line, where + 'reset line');
    equal(valueAt(picture, 'latch-held', at), state.held, where + 'latch');
    equal(valueAt(picture, 'latch-fresh', at), state.fresh, where + 'fresh');
    equal(valueAt(picture, 'watchdog', at)?.replace(/, \d+ times$/, ''),
      state.watchdog, where + 'watchdog');
    const stale = state.held && state.fresh && state.held !== state.fresh;
    equal(valueAt(picture, 'latch-stale', at), stale ? 'stale' : undefined,
      where + 'stale');
    const execution = state.off ? 'off' : state.mode === 'running' ? state.region :
      state.mode === 'held' ? 'held in reset' : undefined;
    if (execution)
      equal(valueAt(picture, 'execution', at), execution, where + 'execution');
    for (const [pin, drive] of Object.entries(state.pins)) {
      const lane = pinLane(pin);
      check(lane, where + `no lane of ${pin}`);
      if (lane)
        equal(valueAt(picture, 'pin', at, lane.index), drive, where + pin);
    }
  }
  for (const r of records.filter((r) => /^rail[+-]?$/.test(r.kind)))
    check(picture.points.some((p) => p.at === String(r.at) && p.mv === r.mv),
      `${name}: the rail's point at ${r.at} ps, ${r.mv} mV`);
};

// --- against the JSON -------------------------------------------------------

const compareWithJson = (name, picture) => {
  const result = json(name);
  equal(picture.cards.length, result.starts.length, `${name}: cards`);
  for (const start of result.starts) {
    const at = BigInt(start.at_ps);
    const where = `${name}, start ${start.n}: `;
    const card = picture.cards.find((c) => c.n === start.n);
    for (const word of [start.region, start.cause, start.rule, start.pc])
      check(!word || card.text.includes(word), where + `says ${word}`);
    check(picture.starts.some((s) => s.n === start.n && s.at === start.at_ps),
      where + 'is marked');
    if (start.latch)
      equal(valueAt(picture, 'latch-held', at), start.latch, where + 'latch');
    equal(valueAt(picture, 'latch-stale', at) === 'stale', start.stale === true,
      where + 'stale');
    const execution = valueAt(picture, 'execution', at) ?? '';
    check(execution === start.region || execution.startsWith('halted'),
      where + `execution is ${execution}`);
    for (const pin of start.pins) {
      check(card.text.includes(`${pin.pin} ${pin.level} at`),
        where + `pin ${pin.pin}`);
    }
  }
};

// --- in the browser ---------------------------------------------------------

const browser = await chromium.launch({
  executablePath: '/usr/bin/chromium', args: ['--no-sandbox'] });

const open = async (name, options = {}) => {
  const page = await browser.newPage(options);
  const url = pathToFileURL(file(name + '.html')).href;
  page.on('console', (m) => check(m.type() !== 'error', `${name}: ${m.text()}`));
  page.on('pageerror', (e) => check(false, `${name}: ${e.message}`));
  page.on('request', (r) => check(r.url() === url, `${name} asks ${r.url()}`));
  await page.goto(url);
  return page;
};

// With everything opened, but for the whole runs of beside.html, which are
// made like that of demo.html.
const accessible = async (name, page) => {
  const found = await page.evaluate(async (source) => {
    if (!document.querySelector('[id$="-difference"]'))
      for (const details of document.querySelectorAll('details'))
        details.open = true;
    (0, eval)(source);
    return window.axe.run({ exclude: [['svg']] }, {
      resultTypes: ['violations'] });
  }, axeSource);
  for (const v of found.violations)
    check(!['serious', 'critical'].includes(v.impact),
      `${name}: ${v.id}, ${v.help}: ${v.nodes[0].html.slice(0, 200)}`);
  check(found.passes.length > 10, `${name}: axe-core looked at it`);
};

// Every link, summary, slider and scrolled region, with Tab alone; every
// summary opens with Enter; the slider moves with an arrow key.
const byKeyboard = async (name, page) => {
  const wanted = await page.evaluate(() => {
    let n = 0;
    for (const e of document.querySelectorAll(
      'a, summary, input, [tabindex="0"]'))
      if (e.checkVisibility()) e.dataset.reach = String(n++);
    return n;
  });
  const reached = new Set();
  for (let i = 0; i < wanted + 50 && reached.size < wanted; i++) {
    await page.keyboard.press('Tab');
    const at = await page.evaluate(() => {
      const e = document.activeElement;
      return { reach: e.dataset.reach, tag: e.tagName,
        ring: getComputedStyle(e).outlineStyle };
    });
    if (at.reach === undefined) continue;
    reached.add(at.reach);
    check(at.ring !== 'none', `${name}: ${at.tag} ${at.reach} shows its focus`);
    if (at.tag === 'SUMMARY') {
      const open = () => page.evaluate(() =>
        document.activeElement.parentElement.open);
      const before = await open();
      await page.keyboard.press('Enter');
      check(await open() !== before, `${name}: summary ${at.reach} opens`);
      await page.keyboard.press('Enter');
    }
    if (at.tag === 'INPUT') {
      const state = () => page.evaluate(() => document.activeElement
        .closest('.instant').textContent);
      const before = await state();
      await page.keyboard.press('ArrowLeft');
      check(await state() !== before, `${name}: the slider moves`);
    }
  }
  equal(reached.size, wanted, `${name}: reached by keyboard`);
};

const overflow = (page) => page.evaluate(() => {
  const wide = [];
  const width = document.documentElement.clientWidth;
  if (document.documentElement.scrollWidth > width) wide.push('the page');
  for (const e of document.querySelectorAll('.wide, .strips, figure'))
    if (e.checkVisibility() && e.scrollWidth > e.clientWidth + 1)
      wide.push(e.getAttribute('aria-label') ?? e.tagName);
  return wide;
});

// On paper nothing can be scrolled: 210 mm less two margins of 14 mm.
const onPaper = async (name, page) => {
  const width = Math.floor((210 - 28) / 25.4 * 96);
  await page.emulateMedia({ media: 'print' });
  await page.setViewportSize({ width, height: 1000 });
  equal((await overflow(page)).join(', '), '', `${name}: cut off on A4`);
  const pdf = (await page.pdf({ format: 'A4' })).toString('latin1');
  check(/\/MediaBox \[0 0 59[45][.\d]* 84[12][.\d]*\]/.test(pdf),
    `${name}: prints on A4`);
  await page.emulateMedia({ media: 'screen' });
};

const onPhone = async (name, page) => {
  await page.setViewportSize({ width: 360, height: 700 });
  check(!(await overflow(page)).includes('the page'),
    `${name}: the page scrolls sideways at 360 pixels`);
};

for (const name of ['demo', 'landing', 'cycle', 'fight', 'fed', 'watchdog']) {
  const page = await open(name);
  const picture = await shown(page);
  compareWithJson(name, picture);
  compareWithTrace(name, picture);
  await page.close();
}
for (const name of ['demo', 'beside', 'sweep', 'why', 'none', 'route',
  'blocked']) {
  const page = await open(name);
  await byKeyboard(name, page);
  await onPhone(name, page);
  await onPaper(name, page);
  await accessible(name, page);
  await page.close();
}

// A lesson by keyboard alone: Tab to each hidden answer, which opens with Enter
// or with Space and is then seen; what it hides is not seen before.
const lessonByKeyboard = async (name) => {
  const page = await open(name);
  const hidden = await page.locator('details').count();
  const opened = new Set();
  check(hidden > 0, `${name}: has hidden answers`);
  for (let i = 0; i < 200 && opened.size < hidden; i++) {
    await page.keyboard.press('Tab');
    const at = () => page.evaluate(() => {
      const e = document.activeElement;
      if (e.tagName !== 'SUMMARY') return null;
      return { start: e.parentElement.dataset.start,
        seen: e.nextElementSibling.checkVisibility() };
    });
    const before = await at();
    if (!before || opened.has(before.start)) continue;
    check(!before.seen, `${name}: answer ${before.start} is hidden at first`);
    await page.keyboard.press(opened.size % 2 ? 'Space' : 'Enter');
    check((await at()).seen, `${name}: answer ${before.start} opens`);
    opened.add(before.start);
  }
  equal(opened.size, hidden, `${name}: answers opened by keyboard`);
  equal(await page.locator('details[open]').count(), hidden,
    `${name}: answers that stay open`);
  await page.close();
};
const lessons = readdirSync(folder).filter((f) => /^lesson-.*\.html$/.test(f))
  .map((f) => f.replace('.html', '')).sort();
equal(lessons.length, 8, 'lessons');
for (const name of lessons) {
  await lessonByKeyboard(name);
  const page = await open(name);
  await onPhone(name, page);
  await accessible(name, page);
  await page.close();
}

// Without scripts all of it is there but the slider.
const plain = await open('demo', { javaScriptEnabled: false });
const text = await plain.locator('body').innerText();
for (const said of ['Held: all 5 expectations', 'stale since', 'Reset table',
  'A simulation is not the board'])
  check(text.toLowerCase().includes(said.toLowerCase()),
    `without scripts: ${said}`);
check(!text.includes('What held at an instant'), 'without scripts: no slider');
await browser.close();

console.log(`${checked} checks, ${failed} failed`);
process.exit(failed || !checked ? 1 : 0);
