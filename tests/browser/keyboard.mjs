// A hand on the keyboard alone: after each key the focus is somewhere and is seen, and what is said to
// those who listen is kept. A pointer that does anything is an error.

import { readFileSync } from 'node:fs';
import { FRONT_NAME, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { readPng } from './png.mjs';

/** Runs in the page before it is there: a pointer that does anything is an error; what is said aloud is kept. */
function listen() {
  for (const name of ['pointerdown', 'mousedown', 'touchstart', 'wheel'])
    addEventListener(name, () => console.error(`${name}, but the hand is on the keyboard`), { capture: true });
  globalThis.said = [];
  addEventListener('DOMContentLoaded', () => {
    for (const id of ['polite', 'urgent'])
      new MutationObserver(() => {
        const text = document.getElementById(id).textContent;
        if (text) globalThis.said.push(text);
      }).observe(document.getElementById(id), { childList: true, characterData: true, subtree: true });
  });
}

/** Runs in the page: what has the focus, where it is and the colour of the ring round it; `wrong` where it cannot be seen. */
function focused() {
  const at = document.activeElement;
  if (!at || at === document.body) return { is: null, wrong: 'the focus is lost' };
  const name = at.getAttribute('aria-label') ?? at.labels?.[0]?.textContent ?? at.textContent;
  const is = `${at.tagName.toLowerCase()}${at.id ? `#${at.id}` : ''} "${name.trim().slice(0, 60)}"`;
  let node = at; // a radio button's ring is its label's, a long face's is the slip's
  while (node && (getComputedStyle(node).outlineStyle === 'none' || getComputedStyle(node).opacity === '0')) node = node.parentElement;
  if (!node) return { is, wrong: 'no ring is drawn round it' };
  const { left, top, width, height } = node.getBoundingClientRect();
  const { outlineColor, outlineOffset, outlineWidth } = getComputedStyle(node);
  return { is, box: [left, top, width, height], ring: outlineColor.match(/[\d.]+/g).map(Number),
    off: parseFloat(outlineOffset) + parseFloat(outlineWidth) / 2 };
}

const RING = 0.9; // of the ring at least is seen
const ALIKE = 24; // of 255: the same colour

/** How much of a ring round a box shows its colour in a picture of the window. */
function shareSeen(picture, { box: [left, top, width, height], ring, off }) {
  const [x0, y0, x1, y1] = [left - off, top - off, left + width + off, top + height + off].map(Math.floor);
  const spots = [];
  for (let x = x0; x <= x1; x += 2) spots.push([x, y0], [x, y1]);
  for (let y = y0; y <= y1; y += 2) spots.push([x0, y], [x1, y]);
  const isRing = ([x, y]) => x >= 0 && y >= 0 && x < picture.width && y < picture.height
    && picture.at(x, y).every((v, i) => Math.abs(v - ring[i]) <= ALIKE);
  return spots.filter(isRing).length / spots.length;
}

class Keyboard {
  constructor(window) { Object.assign(this, { window, page: window.page, seen: new Set() }); }

  /** Keys one after another; after each the focus must be somewhere, and be seen. */
  async press(...keys) {
    for (const key of keys) {
      await this.page.keyboard.press(key);
      await this.look(key);
    }
  }

  /** What has the focus. What has not had it before is looked at in a picture of the window. */
  async look(after) {
    const now = await until(`something to have the focus after ${after}`, async () => {
      const found = await this.page.evaluate(focused);
      if (found.wrong) throw new Error(`${found.is}: ${found.wrong}`);
      return found;
    });
    if (this.seen.has(now.is)) return now.is;
    await until(`the focus on ${now.is} to be seen after ${after}`, async () => {
      const at = await this.page.evaluate(focused);
      const share = shareSeen(readPng(readFileSync(await this.window.picture('focus'))), at);
      if (share < RING) throw new Error(`${share} of its ring`);
      return true;
    });
    this.seen.add(now.is);
    return now.is;
  }

  /** What the last key led to, once it is there. */
  async at(name) {
    await until(`the focus on ${name}`, async () => {
      const { is } = await this.page.evaluate(focused);
      if (!name.test(is)) throw new Error(`it is on ${is}`);
      return true;
    });
    await this.look(name);
  }

  async times(n, key) {
    for (let i = 0; i < n; i += 1) await this.page.keyboard.press(key);
    await this.look(key);
  }

  async type(words) {
    await this.page.keyboard.type(words);
    this.seen.clear(); // a list that opens may have moved the field
    await this.look(words);
  }

  /** Presses a key until what has the focus is called so. */
  async to(name, key = 'Tab', most = 60) {
    const stops = [];
    while (stops.length < most) {
      await this.press(key);
      stops.push(await this.look(key));
      if (name.test(stops.at(-1))) return;
    }
    throw new Error(`${key} does not lead to ${name}, but to ${stops.join(', ')}`);
  }

  /** The cross hairs by so many pixels of the screen: long steps, then short ones. */
  async steer(dx, dy) {
    for (const [by, less, more] of [[dx, 'ArrowLeft', 'ArrowRight'], [dy, 'ArrowUp', 'ArrowDown']]) {
      const key = by < 0 ? less : more;
      await this.times(Math.floor(Math.abs(by) / 20), `Shift+${key}`);
      await this.times(Math.abs(by) % 20, key);
    }
  }

  /** Where the cross hairs are drawn, on the photograph. */
  async cross() {
    await this.window.frames();
    const [x, y] = await this.page.evaluate(() => {
      const box = document.querySelector('#large .cross').getBoundingClientRect();
      return [box.x + box.width / 2, box.y + box.height / 2];
    });
    const { scale, left, top } = await this.window.large.lay();
    return [(x - left) / scale.x, (y - top) / scale.y];
  }

  /** Corner after corner, each so many pixels of the screen from the one before; the places. */
  async path(...moves) {
    const places = [];
    for (const move of moves) {
      await this.steer(...move);
      places.push(await this.cross());
      await this.press('Enter');
    }
    return places;
  }

  /** Waits until something like it has been said aloud. */
  async heard(pattern) {
    await until(`to hear ${pattern}`, async () => {
      const said = await this.page.evaluate(() => globalThis.said);
      if (said.some((text) => pattern.test(text))) return true;
      throw new Error(JSON.stringify(said.slice(-8)));
    });
  }
}

/** atDesk with the front board on the bench and nothing but keys. */
export async function atKeyboard(body) {
  await atDesk(async (all) => {
    await until('a photograph', async () => (await all.window.page.title()).startsWith(FRONT_NAME));
    await all.window.large.lay();
    await body({ ...all, keys: new Keyboard(all.window) });
  }, { listen });
}
