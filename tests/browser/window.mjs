// A window of Chromium on the marking page, its guard, and hands: mouse, touch, pen and keys at a
// known place of the photograph.
//
// Where a place of the photograph lies on the screen is read off the pictures that Chromium has laid
// out (the tiles, or the first sight while there are none), not asked of the page's own code, so that
// a page that is off by half a pixel is seen.

import { mkdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { BUILD, PATIENCE_MS, PICTURES, check, until } from './bench.mjs';

const require = createRequire(join(BUILD, 'browser', 'package.json'));
const { chromium } = require('playwright-core');
const AXE = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');

export const BENCH = { width: 1280, height: 820 }; // the size of ../shared/page-sketch.png

// A page may be made so many times slower than this machine, and so many ms later in all that does not come at once.
const SLOW = Number(process.env.PW_SLOW ?? 1);
const LATE = Number(process.env.PW_LATE ?? 0);

const STEPS = 4; // from place to place of a drag

/** The places on the way from one to another, both with it. */
function steps([ax, ay], [bx, by]) {
  return Array.from({ length: STEPS + 1 }, (_, i) => [ax + ((bx - ax) * i) / STEPS, ay + ((by - ay) * i) / STEPS]);
}

let browser;

export async function startBrowser() {
  browser ??= await chromium.launch({
    executablePath: '/usr/bin/chromium',
    chromiumSandbox: false, // CI is root, in a container
    args: ['--disable-dev-shm-usage', '--disable-gpu', '--force-color-profile=srgb', '--font-render-hinting=none',
      '--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1'],
  });
  return browser;
}

export async function stopBrowser() { await browser?.close(); }

// ---- The guard ----

/** Runs in the page: what the policy refused comes as an error, whatever asked for it. */
function tellViolations() {
  addEventListener('securitypolicyviolation', (event) => {
    console.error(`content security policy: ${event.violatedDirective} refused ${event.blockedURI} ${event.sample}`);
  });
}

/** Runs in the page before it: a fold that was opened, and the browser having kept something, are told so much later. */
function hearLate(ms) {
  const add = EventTarget.prototype.addEventListener;
  EventTarget.prototype.addEventListener = function addLate(name, run, options) {
    return add.call(this, name, name === 'toggle' ? (event) => setTimeout(() => run.call(this, event), ms) : run, options);
  };
  const { set } = Object.getOwnPropertyDescriptor(IDBTransaction.prototype, 'oncomplete');
  Object.defineProperty(IDBTransaction.prototype, 'oncomplete', { set(run) { set.call(this, () => setTimeout(run, ms)); } });
}

/** Everything that must not happen while a page is open. */
class Guard {
  constructor(page) {
    this.faults = [];
    this.expected = []; // what a test brings about on purpose
    page.on('console', (message) => { if (message.type() === 'error') this.see(`console: ${message.text()}`); });
    page.on('pageerror', (error) => this.see(`error: ${error.stack}`));
    page.on('request', (request) => this.seeRequest(request.url()));
    page.on('requestfailed', (request) => this.seeFailure(request));
  }

  see(text) { this.faults.push(text); }

  seeRequest(url) {
    const { protocol, hostname } = new URL(url);
    if (!['blob:', 'data:'].includes(protocol) && hostname !== '127.0.0.1') this.see(`asked beyond this machine: ${url}`);
  }

  seeFailure(request) {
    const why = request.failure()?.errorText ?? '';
    // A picture that went out of sight before it came is asked for no more, nor a plate that was put away.
    const isPicture = request.resourceType() === 'image' || /\/(plate\?page=|page\/)\d+(\?|$)/.test(request.url());
    if (isPicture && why === 'net::ERR_ABORTED') return;
    this.see(`request failed: ${request.url()} ${why}`);
  }

  verify() {
    const left = this.faults.filter((fault) => !this.expected.some((pattern) => pattern.test(fault)));
    check(left.length === 0, `the page was not quiet:\n${left.join('\n')}`);
  }
}

// ---- Where the picture lies ----

/** Runs in the page: the rectangles of the pictures of a section, in CSS pixels of the window. */
function readPictures(section) {
  const pictures = [...section.querySelectorAll('img')].filter((img) => img.complete && img.naturalWidth > 0);
  return pictures.map((img) => {
    const { left, top, right, bottom } = img.getBoundingClientRect();
    return { path: new URL(img.src).pathname, left, top, right, bottom };
  });
}

/** Where the picture lies, by its tiles of the finest level there: {scale, left, top, ...}. */
function layOfTiles(pictures, { width, height }, { tile, levels }) {
  const tiles = pictures.map((picture) => ({ ...picture, at: /\/tile\/(\d+)\/(\d+)\/(\d+)$/.exec(picture.path)?.slice(1).map(Number) }))
    .filter(({ at }) => at);
  if (tiles.length === 0) return null;
  const finest = Math.min(...tiles.map(({ at }) => at[0]));
  const { width: w, height: h } = levels[finest];
  const spots = tiles.filter(({ at }) => at[0] === finest).flatMap(({ at: [, column, row], left, top, right, bottom }) => [
    { x: (column * tile * width) / w, y: (row * tile * height) / h, sx: left, sy: top },
    { x: (Math.min(w, (column + 1) * tile) * width) / w, y: (Math.min(h, (row + 1) * tile) * height) / h, sx: right, sy: bottom }]);
  const ends = (key) => [spots.reduce((a, b) => (b[key] < a[key] ? b : a)), spots.reduce((a, b) => (b[key] > a[key] ? b : a))];
  const [[x0, x1], [y0, y1]] = [ends('x'), ends('y')];
  const scale = { x: (x1.sx - x0.sx) / (x1.x - x0.x), y: (y1.sy - y0.sy) / (y1.y - y0.y) };
  return { scale, left: x0.sx - x0.x * scale.x, top: y0.sy - y0.y * scale.y, level: finest };
}

function layOfSight(pictures, { width, height }) {
  const sight = pictures.find(({ path }) => path.endsWith('/sight'));
  if (!sight) return null;
  const scale = { x: (sight.right - sight.left) / width, y: (sight.bottom - sight.top) / height };
  return { scale, left: sight.left, top: sight.top, level: null };
}

/** A photograph that lies on the bench (`name`: of its section, as a screen reader says it). */
class Sheet {
  constructor(window, name) { Object.assign(this, { window, name }); }

  get section() { return this.window.page.getByRole('region', { name: this.name, exact: true }); }

  async #photo(pictures) {
    const [, id] = /\/photo\/([0-9a-f]+)\//.exec(pictures[0].path);
    // asked once: a server that was killed cannot be asked again
    this.known ??= new Map();
    const known = this.known.get(id);
    if (known?.tiles.ready) return known;
    const photo = await this.window.ask(`/photo/${id}`);
    const tiles = await this.window.ask(`/photo/${id}/tiles`);
    this.known.set(id, { id, photo, tiles });
    return this.known.get(id);
  }

  /** Waits until the picture lies still, and tells where; by tiles when `sharp`. */
  async lay({ sharp = true } = {}) {
    let last = null;
    return until(`the picture of "${this.name}" to lie still`, async () => {
      const pictures = await this.section.evaluate(readPictures);
      if (pictures.length === 0) return null;
      const { photo, tiles } = await this.#photo(pictures);
      const byTiles = tiles.ready ? layOfTiles(pictures, photo, tiles) : null;
      const now = byTiles ?? (sharp ? null : layOfSight(pictures, photo));
      const isStill = now && JSON.stringify(now) === JSON.stringify(last);
      last = now;
      return isStill ? now : null;
    });
  }

  /** Whole pixels of the window for places of the photograph, and the places those pixels show. */
  async aim(path) {
    const { scale, left, top } = await this.lay();
    return path.map(([x, y]) => {
      const [sx, sy] = [Math.round(left + x * scale.x), Math.round(top + y * scale.y)];
      return { screen: [sx, sy], photo: [(sx - left) / scale.x, (sy - top) / scale.y] };
    });
  }
}

// ---- The window ----

export class Window {
  /**
   * Opens the page of a desk. `options`: of the browser's context, and `session`: another window's;
   * `listen` runs in the page before anything of it does; `late`: see #slow.
   */
  static async open(desk, { session = null, listen = () => {}, late = LATE, ...options } = {}) {
    const window = new Window();
    await startBrowser();
    window.context = session?.context ?? await browser.newContext({ viewport: BENCH, locale: 'en-GB',
      reducedMotion: 'no-preference', colorScheme: 'light', ...options });
    window.isGuest = session !== null;
    window.byTouch = options.hasTouch ?? false; // every press is a finger's
    window.page = await window.context.newPage();
    window.page.setDefaultTimeout(PATIENCE_MS);
    await window.#slow(late);
    await window.page.addInitScript(tellViolations);
    await window.page.addInitScript(listen);
    window.guard = new Guard(window.page);
    window.#watchRequests();
    window.large = new Sheet(window, 'Photograph on the bench');
    window.small = new Sheet(window, 'Photograph beside it');
    await window.page.goto(desk.address);
    return window;
  }

  /** The server's JSON, as this window is allowed to see it. */
  async ask(path) {
    return this.page.evaluate(async (where) => (await fetch(where, { cache: 'no-store' })).json(), path);
  }

  expect(...patterns) { this.guard.expected.push(...patterns); }

  // ---- The page, as those who listen find it ----

  /** Holds back every request to a place of the server until the function given back is called. */
  async hold(where) {
    let release;
    const held = new Promise((resolve) => { release = resolve; });
    await this.page.route(where, async (route) => {
      await held;
      await route.continue();
    });
    return release;
  }

  async press(control) { await (this.byTouch ? control.tap() : control.click()); }

  button(name, options = {}) { return this.page.getByRole('button', { name, exact: true, ...options }); }

  /** Waits until buttons and keys do what they say: what stands in the page's text is seen sooner. */
  async ready() { await this.page.locator('[data-do="help"][aria-keyshortcuts]').waitFor({ state: 'attached' }); }

  async reload() {
    this.expect(/request failed: .*net::ERR_ABORTED/); // it cuts off what is asked just then
    await this.page.reload();
    await this.ready();
  }

  /** Waits until what was to be drawn is drawn. */
  async frames() {
    await this.page.evaluate(() => new Promise((drawn) => { requestAnimationFrame(() => requestAnimationFrame(drawn)); }));
  }

  /** Another size of the window; what lies in it has taken its place. */
  async resize(width, height) {
    await this.page.setViewportSize({ width, height });
    await until(`a window of ${width} px`, () => this.page.evaluate((wanted) => innerWidth === wanted, width));
    await this.frames();
    await this.large.lay();
  }

  /** Names of all that the browser keeps for this page. */
  async kept() {
    return this.page.evaluate(async () => {
      const come = (request) => new Promise((resolve) => { request.onsuccess = () => resolve(request.result); });
      const database = await come(indexedDB.open('platewright'));
      const keys = await come(database.transaction('kept').objectStore('kept').getAllKeys());
      database.close();
      return keys;
    });
  }

  /** The photograph that the row calls so, on the bench and lying still; it may lie there while it is read once more. */
  async open(name) {
    const others = new Set(this.reading);
    await this.press(this.page.getByRole('navigation').getByRole('button', { name: new RegExp(`^${name}`) }).first());
    await until(`${name} on the bench`, async () => (await this.page.title()).startsWith(name));
    await this.#quiet(`${name} to be read`, () => [...this.reading].every((one) => others.has(one)));
    await this.large.lay();
  }

  /** Waits until no photograph is asked for any more, and what has come is shown. */
  async read() { await this.#quiet('what was asked for to be read', () => this.reading.size === 0); }

  async tool(name) { await this.press(this.page.getByRole('toolbar').getByRole('button', { name, exact: true })); }

  /** Waits until the line on top says that all is saved. */
  async saved() { // a change is on its way from the moment it is made
    await until('all to be saved', async () => /^saved/.test(await this.keptWords()));
  }

  /** Sizes and photographs that are asked for and have not come. */
  #watchRequests() {
    this.sizing = new Set();
    this.reading = new Set();
    const setOf = (request) => (request.url().endsWith('/size') ? this.sizing : /\/photo\/[^/]+$/.test(request.url()) ? this.reading : null);
    this.page.on('request', (request) => setOf(request)?.add(request));
    for (const event of ['requestfinished', 'requestfailed'])
      this.page.on(event, (request) => setOf(request)?.delete(request));
  }

  /** Waits until it has been so, and the page has had its turn, several times over. */
  async #quiet(what, isSo) {
    let quiet = 0;
    await until(what, async () => {
      await this.page.evaluate(() => new Promise((turn) => { setTimeout(turn); }));
      quiet = isSo() ? quiet + 1 : 0;
      return quiet > 4;
    });
  }

  /** Waits until no size is asked for any more: the one that is shown is of what is drawn now. */
  async sized() { await this.#quiet('the size of what is drawn', () => this.sizing.size === 0); }

  async keptWords() { return this.page.getByRole('banner').getByText(/^(saved|saving)$/).innerText(); }

  /** Brings a place of the photograph near, by the wheel, until a pixel of it is `scale` on the screen. */
  async zoom([x, y], scale) {
    const box = await this.large.section.boundingBox();
    for (let i = 0; i < 60; i += 1) {
      const lay = await this.large.lay();
      const at = [lay.left + x * lay.scale.x, lay.top + y * lay.scale.y];
      const ratio = scale / lay.scale.x;
      if (Math.abs(Math.log(ratio)) < 0.12) return lay;
      const inside = ([v, least, size]) => Math.round(Math.min(least + size - 20, Math.max(least + 20, v)));
      await this.page.mouse.move(inside([at[0], box.x, box.width]), inside([at[1], box.y, box.height]));
      await this.page.mouse.wheel(0, ratio > 1 ? -100 : 100);
    }
    throw new Error(`the wheel does not lead to ${scale}`);
  }

  /** Touches place after place of the photograph; gives the places that were touched. */
  async touchAll(path) {
    const aims = await this.large.aim(path);
    for (const { screen } of aims) await this.hit(screen);
    return aims.map(({ photo }) => photo);
  }

  /** A ring with the tool named (null: with the one in hand): every corner, then the first again. */
  async ring(tool, path) {
    if (tool) await this.tool(tool);
    const aims = await this.large.aim(path);
    for (const { screen } of [...aims, aims[0]]) await this.hit(screen);
    return aims.map(({ photo }) => photo);
  }

  /** A line: every corner, the last one twice. */
  async polyline(path) {
    await this.tool('Line');
    const aims = await this.large.aim(path);
    for (const { screen } of [...aims, aims.at(-1)]) await this.hit(screen);
    return aims.map(({ photo }) => photo);
  }

  // ---- The slip ----

  get slip() { return this.page.getByRole('region', { name: 'Words', exact: true }); }

  /** What stands together on the slip, by its label. */
  row(name) { return this.slip.getByRole('group', { name, exact: true }); }

  async pressIn(where, name) { await this.press(where.getByRole('button', { name, exact: true })); }

  /** On a narrow screen the slip lies below until it is slid up; elsewhere it is always there. */
  async slide(up) {
    const handle = this.slip.locator('.slip-handle');
    if (!await handle.isVisible() || String(up) === await handle.getAttribute('aria-expanded')) return;
    await this.press(handle);
  }

  async face(name) { await this.press(this.slip.getByRole('tab', { name, exact: true })); }

  /** Gives the chosen mark its term, by a few letters. */
  async name(letters, term) {
    const field = this.slip.getByRole('combobox', { name: 'term', exact: true });
    await this.press(field);
    await field.fill(letters);
    await this.press(this.slip.getByRole('option', { name: new RegExp(`^${term}`) }).first());
  }

  async part(words) {
    const field = this.slip.getByRole('combobox', { name: 'part', exact: true });
    await this.press(field);
    await field.fill(words);
    await field.press('Enter');
  }

  /** Chooses a mark of the photograph from the slip's list. */
  async choose(name) {
    await this.face('Marks');
    const all = this.slip.getByRole('button', { name: 'All marks' });
    if (await all.isVisible()) await this.press(all);
    await this.press(this.slip.getByRole('listitem').getByRole('button', { name }).first());
  }

  /** What the slip's head says of the chosen mark or of the one being drawn, by now: name and size. */
  async headWords() {
    return until('a head on the slip', async () =>
      (await this.slip.getByRole('heading', { level: 3 }).first().locator('xpath=..').innerText()).replaceAll('\n', ' '));
  }

  // ---- Hands ----

  async mouse(path, { steps = 1 } = {}) {
    for (const [x, y] of path) await this.page.mouse.move(x, y, { steps });
  }

  async click([x, y], options) { await this.page.mouse.click(x, y, options); }

  /** One touch, by what this window is touched with. */
  async hit(at) { await (this.byTouch ? this.tap(at) : this.click(at)); }

  async drag(from, ...to) {
    if (this.byTouch) return this.fingers([from, ...to].flatMap((at, i, all) => steps(all[i - 1] ?? at, at)));
    await this.page.mouse.move(...from);
    await this.page.mouse.down();
    for (const at of to) await this.page.mouse.move(...at, { steps: STEPS });
    return this.page.mouse.up();
  }

  /** Drags what lies at one place of the photograph to another; where it was let go. */
  async carry(from, to) {
    const [a, b] = await this.large.aim([from, to]);
    await this.drag(a.screen, b.screen);
    return b.photo;
  }

  /** Draws without lifting the pen; the places that it passed. */
  async trail(path) {
    const aims = await this.large.aim(path);
    const [first, ...rest] = aims.map(({ screen }) => screen);
    await this.page.mouse.move(...first);
    await this.page.mouse.down();
    await this.mouse(rest);
    await this.page.mouse.up();
    return aims.map(({ photo }) => photo);
  }

  /** `late`: ms that answers of the server, the browser's keep and folds that open are late by. */
  async #slow(late) {
    const devtools = await this.#devtools();
    if (SLOW > 1) await devtools.send('Emulation.setCPUThrottlingRate', { rate: SLOW });
    if (late === 0) return;
    await devtools.send('Network.enable');
    await devtools.send('Network.emulateNetworkConditions', { offline: false, latency: late, downloadThroughput: -1, uploadThroughput: -1 });
    await this.page.addInitScript(hearLate, late);
  }

  async #devtools() { return (this.devtools ??= await this.context.newCDPSession(this.page)); }

  /** One event of fingers: `fingers` are those that lie on the glass afterwards, [[x, y], ...]. */
  async touch(type, fingers) {
    await (await this.#devtools()).send('Input.dispatchTouchEvent', { type,
      touchPoints: fingers.map(([x, y], id) => ({ x, y, id, radiusX: 8, radiusY: 8, force: 0.5 })) });
  }

  async tap(at) { await this.fingers([at]); }

  /** Fingers that lie down, go and are lifted together: a path each. */
  async fingers(...paths) {
    for (const [i] of paths[0].entries()) await this.touch(i === 0 ? 'touchStart' : 'touchMove', paths.map((path) => path[i]));
    await this.touch('touchEnd', []);
  }

  /** Two fingers from a pair of places to another. */
  async pinch(from, to) { await this.fingers(...from.map((at, i) => steps(at, to[i]))); }

  /** A stroke of a pen: pressed at the first place, lifted at the last. `resting`: where the hand lies meanwhile. */
  async pen(path, { resting = null } = {}) {
    const send = async (type, [x, y], buttons, force) => (await this.#devtools()).send('Input.dispatchMouseEvent',
      { type, x, y, button: 'left', buttons, clickCount: 1, pointerType: 'pen', force });
    if (resting) await this.touch('touchStart', [resting]); // before the pen, as a hand does
    await send('mousePressed', path[0], 1, 0.5);
    for (const at of path.slice(1)) await send('mouseMoved', at, 1, 0.5);
    await send('mouseReleased', path.at(-1), 0, 0);
    if (resting) await this.touch('touchEnd', []);
  }

  async keys(...keys) { for (const key of keys) await this.page.keyboard.press(key); }

  // ---- Eyes ----

  /** A picture of the window, kept in the build folder. */
  async picture(name, options) {
    mkdirSync(PICTURES, { recursive: true });
    const path = join(PICTURES, `${name}.png`);
    await this.page.screenshot({ path, animations: 'disabled', ...options });
    return path;
  }

  /** Waits until the slip's head says these words; what it says then. */
  async headSays(words) {
    return until(`${words} on the slip`, async () => {
      const head = await this.headWords();
      if (head.includes(words)) return head;
      throw new Error(head);
    });
  }

  /** Red rings: where what is drawn cannot stand. */
  get faults() { return this.large.section.locator('.ring-fault:not(.ring-casing)'); }

  /** The one red ring, as a place of the photograph. */
  async faultAt() {
    const ring = await until('a red ring', async () => (await this.faults.count()) === 1 && this.faults.boundingBox());
    const { left, top, scale } = await this.large.lay();
    return [(ring.x + ring.width / 2 - left) / scale.x, (ring.y + ring.height / 2 - top) / scale.y];
  }

  /** What axe-core finds wrong with the page as it is now, in a line each. */
  async axe() {
    await this.page.evaluate(AXE); // by the debugger, so that the page's policy stays as it is
    const { violations } = await this.page.evaluate(() => globalThis.axe.run(document, {
      runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }));
    return violations.flatMap(({ id, help, nodes }) =>
      nodes.map(({ target, failureSummary }) => `${id}: ${help}: ${target.join(' ')}: ${failureSummary.replaceAll('\n', ' ')}`));
  }

  /** Closes it; throws when something happened that must not. */
  async close() {
    await (this.isGuest ? this.page : this.context).close();
    this.guard.verify();
  }
}
