// What the browser tests share: checks as TAP lines, waiting for conditions, folders that are gone
// afterwards, and the demo volume of the build. As tests/command/bench.py, for the page.
//
// A test file calls test(title, body) for each test and run() at its end; a check that fails ends
// its test. Nothing waits for a time: until(what, condition) asks again until it holds.

import { spawn, spawnSync } from 'node:child_process';
import { cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const BUILD = process.env.PW_BUILD;
export const SOURCE = process.env.PW_SOURCE ?? join(dirname(fileURLToPath(import.meta.url)), '..', '..');
export const COMMAND = process.env.PW_COMMAND ?? join(BUILD, 'src', 'cli', 'platewright');
export const PICTURES = join(BUILD, 'browser', 'pictures'); // what the tests saw

export const PATIENCE_MS = 60_000; // what does not come by then, on however busy a machine, never will
const BUILD_MS = 300_000; // the tiles of every photograph
const ASK_AGAIN_MS = 25;

export class Skip extends Error {}

export function check(truth, what) {
  if (!truth) throw new Error(what);
}

export function equal(got, wanted, what = '') {
  const [a, b] = [JSON.stringify(got), JSON.stringify(wanted)];
  if (a !== b) throw new Error(`${what}: got ${a}, wanted ${b}`);
}

/** Says a figure beside the tests. */
export function note(text) { console.log(`# ${text}`); }

/** Asks until `condition` gives something true, and gives that. */
export async function until(what, condition, patience = PATIENCE_MS) {
  const end = Date.now() + patience;
  let last;
  for (;;) {
    try {
      const answer = await condition();
      if (answer) return answer;
      last = answer;
    } catch (error) {
      last = error.message;
    }
    if (Date.now() > end) throw new Error(`waited in vain: ${what} (last: ${last})`);
    await new Promise((resolve) => { setTimeout(resolve, ASK_AGAIN_MS); });
  }
}

/** The command run to its end: {status, out, err}. */
export function platewright(...words) {
  const { status, stdout, stderr, error } = spawnSync(COMMAND, words, { encoding: 'utf8', timeout: 600_000,
    maxBuffer: 64 << 20 });
  if (error) throw error;
  return { status, out: stdout, err: stderr };
}

export function measure(folder) { return JSON.parse(platewright('measure', folder, '--json').out); }

export const CLOSE = 0.06; // px of the photograph: as near as what is saved must be to what was drawn

/** Two paths, point for point. */
export function near(got, wanted, what, least = CLOSE) {
  equal(got.length, wanted.length, `${what}: points`);
  const off = got.map(([x, y], i) => Math.hypot(x - wanted[i][0], y - wanted[i][1]));
  const worst = Math.max(...off);
  note(`${what}: at most ${worst.toFixed(4)} px off`);
  check(worst <= least, `${what}: ${worst} px off\n got ${JSON.stringify(got)}\n wanted ${JSON.stringify(wanted)}`);
}

/** A path of the screen as places of the photograph round one of them; `scale`: pixels of the screen for one of it. */
export function around([x, y], path, scale) { return path.map(([dx, dy]) => [x + dx / scale, y + dy / scale]); }

/** "412 ± 14 mm²" as DESIGN section 5 has it: U to two significant figures, the value to the same digit. */
export function sizeWords({ value, U }, unit) {
  const decimals = Math.max(0, 1 - Math.floor(Math.log10(Number(U.toPrecision(2)))));
  const coarse = (v) => (U >= 100 ? Math.round(v / 10 ** (Math.floor(Math.log10(U)) - 1)) * 10 ** (Math.floor(Math.log10(U)) - 1) : v);
  return `${coarse(value).toFixed(decimals)} ± ${coarse(U).toFixed(decimals)} ${unit}`;
}

// ---- Volumes ----

/** The demo volume, painted by the bench of the command tests, which knows whether it has been. */
function paintDemo() {
  const { status, stderr } = spawnSync('python3', ['-c', 'import bench; bench.demo()'], { encoding: 'utf8',
    env: { ...process.env, PYTHONPATH: join(SOURCE, 'tests', 'command'), PW_SOURCE: SOURCE } });
  check(status === 0, `the demo was not painted: ${stderr}`);
  return join(BUILD, 'demo');
}

/** Asks the server until every photograph's tiles are there. */
async function buildTiles(folder) {
  const server = spawn(COMMAND, ['mark', folder], { stdio: ['ignore', 'pipe', 'inherit'] });
  let said = '';
  server.stdout.on('data', (text) => { said += text; });
  const address = await until('an address', () => /http:\S+/.exec(said)?.[0]);
  const entry = await fetch(address, { redirect: 'manual' });
  const headers = { Cookie: entry.headers.get('set-cookie').split(';')[0] };
  const ask = async (path) => (await fetch(new URL(path, address), { headers })).json();
  for (const { id } of (await ask('/volume')).photos)
    await until('tiles', async () => (await ask(`/photo/${id}/tiles`)).ready, BUILD_MS);
  server.kill('SIGINT');
  await new Promise((resolve) => { server.once('exit', resolve); });
}

/** The demo with its cards found and its tiles cut, so that no test pays for that again. */
async function preparedDemo() {
  const demo = paintDemo();
  const ready = join(BUILD, 'browser', 'demo');
  const painted = readFileSync(join(demo, 'volume.yaml'), 'utf8');
  const mark = join(ready, '.platewright', 'painted');
  if (existsSync(mark) && readFileSync(mark, 'utf8') === painted) return ready;
  rmSync(ready, { recursive: true, force: true });
  cpSync(demo, ready, { recursive: true });
  measure(ready);
  await buildTiles(ready);
  mkdirSync(dirname(mark), { recursive: true });
  writeFileSync(mark, painted);
  return ready;
}

export const FRONT = 'before/LF24_0412.jpg'; // front board before, with marks of every kind
export const FRONT_NAME = 'front board, before treatment'; // as the row calls it
export const FRONT_AFTER = 'after/LF24_0502.jpg';
export const FRONT_AFTER_NAME = 'front board, after treatment';
export const HEAD = 'before/LF12_0032.jpg';

/** A copy of the demo in a folder of its own. */
export class Volume {
  static async copy() {
    const ready = await preparedDemo();
    const volume = new Volume();
    volume.top = mkdtempSync(join(tmpdir(), 'platewright-browser-'));
    volume.path = join(volume.top, 'volume');
    cpSync(ready, volume.path, { recursive: true });
    return volume;
  }

  read(name) { return readFileSync(join(this.path, name), 'utf8'); }
  write(name, text) { writeFileSync(join(this.path, name), text); }
  sidecar(file) { return this.read(`${file}.yaml`); }

  /** Takes all marks away from a photograph's sidecar. */
  unmark(file) { this.write(`${file}.yaml`, this.sidecar(file).replace(/^marks:\n(?:[ -].*\n|\n)*/m, '')); }

  remove() { rmSync(this.top, { recursive: true, force: true }); }
}

/** What `check` finds wrong with what marks say of each other. */
export function linkFaults(volume) {
  const { findings } = JSON.parse(platewright('check', volume.path, '--json').out);
  return findings.filter(({ file, kind }) => file.endsWith('.jpg.yaml') && kind.endsWith(' link')).map(({ says }) => says);
}

// ---- Running ----

const tests = [];

export function test(title, body) { tests.push({ title, body }); }

/** Runs what `test` was told, all of it or those whose title holds the words given. */
export async function run(after = async () => {}) {
  const words = process.argv.slice(2).join(' ');
  const chosen = tests.filter(({ title }) => title.includes(words));
  let failed = 0;
  console.log(`1..${chosen.length}`);
  for (const [i, { title, body }] of chosen.entries()) {
    const began = Date.now();
    try {
      await body();
      console.log(`ok ${i + 1} ${title} (${((Date.now() - began) / 1000).toFixed(1)} s)`);
    } catch (error) {
      const isSkip = error instanceof Skip;
      if (!isSkip) String(error.stack).split('\n').forEach(note);
      failed += isSkip ? 0 : 1;
      console.log(isSkip ? `ok ${i + 1} ${title} # SKIP ${error.message}` : `not ok ${i + 1} ${title}`);
    }
  }
  await after();
  process.exitCode = failed > 0 ? 1 : 0;
}
