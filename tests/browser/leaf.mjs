// A document that lies on the disk, opened in a window as a reader would open it: whatever it asks for
// beyond itself, whatever its policy refuses and whatever goes wrong in it is a fault.

import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { BUILD, PATIENCE_MS, SOURCE, check, equal, platewright } from './bench.mjs';
import { BENCH, Window, startBrowser } from './window.mjs';

const SHOW = join(BUILD, 'tests', 'command', 'show-html');

/** Documents of one copy of the demo and of volumes under stress, made when they are first asked for. */
export class Shelf {
  made = new Set();

  constructor() { this.top = mkdtempSync(join(tmpdir(), 'platewright-leaves-')); }

  /** A volume of the command tests: the demo, or one of those under stress that the layout of PDFs is tested with. */
  #volume(name) {
    const folder = join(this.top, name);
    if (this.made.has(folder)) return folder;
    const make = name === 'demo' ? `import bench, shutil; shutil.copytree(bench.demo(), '${folder}')`
      : `import os, stress; os.mkdir('${folder}'); stress.VOLUMES['${name}']('${folder}')`;
    const { status, stderr } = spawnSync('python3', ['-c', make], { encoding: 'utf8',
      env: { ...process.env, PYTHONPATH: join(SOURCE, 'tests', 'command'), PW_SOURCE: SOURCE } });
    check(status === 0, `${name}: ${stderr}`);
    this.made.add(folder);
    return folder;
  }

  /** A document with every kind of block. */
  path(whom, language = 'en') {
    const path = join(this.top, `${whom}-${language}.html`);
    if (!this.made.has(path)) {
      const { status, stderr } = spawnSync(SHOW, [this.#volume('demo'), whom, language, path], { encoding: 'utf8' });
      check(status === 0, `show-html: ${stderr}`);
      this.made.add(path);
    }
    return path;
  }

  /** A document as its reader gets it, of the demo or of a volume under stress. */
  report(volume, kind, whom, language) {
    const path = join(this.top, `${volume}-${kind}-${whom}-${language}.html`);
    if (!this.made.has(path)) {
      const { status, err } = platewright('report', this.#volume(volume), '--kind', kind, '--for', whom, '--language', language, '--html', path);
      check(status === 0, `report: ${err}`);
      this.made.add(path);
    }
    return path;
  }

  remove() { rmSync(this.top, { recursive: true, force: true }); }
}

export class Leaf extends Window {
  static async open(path, options = {}) {
    const leaf = new Leaf();
    leaf.wrongs = [];
    leaf.context = await (await startBrowser()).newContext({ viewport: BENCH, colorScheme: 'light', ...options });
    leaf.byTouch = options.hasTouch ?? false;
    leaf.page = await leaf.context.newPage();
    leaf.page.setDefaultTimeout(PATIENCE_MS);
    leaf.#watch(pathToFileURL(path).href);
    await leaf.page.goto(pathToFileURL(path).href);
    return leaf;
  }

  #watch(self) {
    this.page.on('request', (request) => {
      const url = request.url();
      if (!url.startsWith('data:') && url.split('#')[0] !== self) this.wrongs.push(`asked for ${url}`);
    });
    this.page.on('console', (message) => { if (message.type() === 'error') this.wrongs.push(message.text()); });
    this.page.on('pageerror', (error) => this.wrongs.push(error.stack));
  }

  plate(n) { return this.page.locator(`#plate-${n}`); }

  /** The middle of what a locator finds, in whole pixels of the window. */
  async middleOf(locator) {
    await locator.scrollIntoViewIfNeeded();
    const { x, y, width, height } = await locator.boundingBox();
    return [Math.round(x + width / 2), Math.round(y + height / 2)];
  }

  async close() {
    await this.context.close();
    equal(this.wrongs, [], 'the document was not quiet');
  }
}
