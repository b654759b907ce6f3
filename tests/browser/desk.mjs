// The server under test: `platewright mark` on a volume, started, stopped, killed and started again.

import { spawn } from 'node:child_process';
import { COMMAND, check, until } from './bench.mjs';

export class Desk {
  constructor(volume) {
    this.volume = volume;
    this.port = 0; // any that is free, and afterwards the same again
    this.said = '';
  }

  async start() {
    this.said = '';
    this.child = spawn(COMMAND, ['mark', this.volume.path, '--port', String(this.port)],
      { stdio: ['ignore', 'pipe', 'pipe'] });
    this.ended = new Promise((resolve) => { this.child.once('exit', (status, signal) => resolve({ status, signal })); });
    for (const stream of [this.child.stdout, this.child.stderr])
      stream.on('data', (text) => { this.said += text; });
    let isOver = false;
    this.ended.then(() => { isOver = true; });
    this.address = await until('an address', () => {
      check(!isOver || this.peekAddress(), `platewright mark ended: ${this.said}`);
      return this.peekAddress();
    });
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
