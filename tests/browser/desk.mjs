// The server under test: `platewright mark` on a volume, started, stopped, killed and started again.

import { spawn } from 'node:child_process';
import { COMMAND, FRONT_NAME, Volume, around, check, until } from './bench.mjs';
import { Window } from './window.mjs';

export class Desk {
  constructor(volume) {
    this.volume = volume;
    this.port = null; // the volume's own, and afterwards the same again
    this.said = '';
  }

  async start() {
    this.said = '';
    const port = this.port === null ? [] : ['--port', String(this.port)];
    this.child = spawn(COMMAND, ['mark', this.volume.path, ...port], { stdio: ['ignore', 'pipe', 'pipe'] });
    this.ended = new Promise((resolve) => { this.child.once('exit', (status, signal) => resolve({ status, signal })); });
    for (const stream of [this.child.stdout, this.child.stderr]) stream.on('data', (text) => { this.said += text; });
    const over = this.ended.then(() => { throw new Error(`platewright mark ended: ${this.said}`); });
    over.catch(() => {}); // later it may end
    this.address = await Promise.race([over, until('an address', () => this.peekAddress())]);
    this.port = Number(new URL(this.address).port);
    return this;
  }

  peekAddress() { return /http:\/\/\S+token=[0-9a-f]+/.exec(this.said)?.[0]; }

  /** As a power cut would: no time to save anything. */
  async kill() {
    this.child.kill('SIGKILL');
    return this.ended;
  }

  /** As Ctrl-C. */
  async stop() {
    if (this.child.exitCode === null && this.child.signalCode === null) this.child.kill('SIGINT');
    return this.ended;
  }
}

/**
 * A copy of the demo, its server and a window on it, for one test: body({volume, desk, window, another}).
 * `prepare(volume)` comes before the server; `another(options)` opens one more window. At the end every
 * window must have been quiet, and the server must stop when it is told to.
 */
export async function atDesk(body, { prepare = () => {}, ...options } = {}) {
  const volume = await Volume.copy();
  const windows = [];
  let desk = null;
  try {
    prepare(volume);
    desk = await new Desk(volume).start();
    const another = async (more) => {
      windows.push(await Window.open(desk, more));
      await windows.at(-1).ready();
      return windows.at(-1);
    };
    await body({ volume, desk, window: await another(options), another });
    for (const window of windows.splice(0).reverse()) await window.close();
    const { status } = await desk.stop();
    check(status === 0, `the server ended with ${status}: ${desk.said}`);
  } catch (error) {
    for (const [i, window] of windows.entries()) await window.picture(`failed-${Date.now()}-${i}`).catch(() => {});
    throw error;
  } finally {
    for (const window of windows) await window.context.close().catch(() => {});
    await desk?.stop();
    volume.remove();
  }
}

const CLOTH = [1900, 3700]; // of the front board, far from every mark

/** atDesk with the front board on the bench at full size; `place(path)`: of the screen, round a bare place of its cloth. */
export async function atBoard(body, options = {}) {
  await atDesk(async (all) => {
    await all.window.open(FRONT_NAME);
    await all.window.zoom(CLOTH, 1);
    const { scale } = await all.window.large.lay();
    await body({ ...all, place: (path) => around(CLOTH, path, scale.x) });
  }, options);
}
