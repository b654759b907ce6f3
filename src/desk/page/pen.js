// Mouse, touch, pen and keyboard become the same strokes. A stroke begins with `take`, goes on with
// `move`, ends with `up` or, when something else was meant, with `drop`; between strokes a mouse or
// the cross hairs `hover`. What no tool takes moves the picture; two fingers always do. With keys the
// cross hairs are the pen: Enter takes, and lets go again where the tool drags.

import { largeness } from './look.js';
import { settings } from './settings.js';
import { handOf } from './steady.js';

export const TAP = 6; // a hand that moves no further has not moved, in pixels
const REACH = { mouse: 10, keys: 12, pen: 18, touch: 22 }; // 44 px for a finger
const PULL = { mouse: 10, keys: 12, pen: 12, touch: 14 }; // what draws the pen: seen in the magnifier, so less for a finger
const STEP = 1;
const LONG_STEP = 20;
const RIM = 60; // cross hairs bring the picture along before they reach the edge
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/** Keys that mean the same beside the photograph; Enter, Space and arrows belong to what has the focus. */
const TOOL_KEYS = new Set(['Backspace', 'Escape', 'Delete', 'c', 'b', 'k', 'K', 'm', 'o', 'z']);

function swallow(event) {
  event.preventDefault();
  event.stopPropagation();
}

/**
 * @typedef {object} At where the pen is
 * @property {number} x of the photograph
 * @property {number} y
 * @property {{x: number, y: number}} screen of the sheet
 * @property {'mouse'|'touch'|'pen'|'keys'} by
 * @property {number} reach how far the pen reaches, in pixels of the photograph
 * @property {number} pull how near a point that is there draws the pen to itself, likewise
 * @property {number} hand how well it places a point, likewise
 * @property {boolean} alone Alt: no snapping
 * @property {import('./sheet.js').Sheet} sheet
 */

/** The sheet tells `cross` when the cross hairs have another place, or are used no more. */
export class Pen {
  #cross = null;

  /** @param tool () => the tool in hand; `lens` shows what lies under a finger */
  constructor(sheet, tool, lens) {
    Object.assign(this, { sheet, tool, lens });
    this.down = new Map(); // pointers on the sheet
    this.doing = null; // stroke, push (one pointer moves the picture), pinch
    this.isHeld = false; // Enter has taken something
    const { element } = sheet;
    element.tabIndex = 0;
    element.addEventListener('pointerdown', (event) => this.#down(event));
    element.addEventListener('pointermove', (event) => this.#moved(event));
    element.addEventListener('pointerup', (event) => this.#up(event));
    element.addEventListener('pointercancel', (event) => this.#cancelled(event));
    element.addEventListener('pointerleave', () => this.tool().hover?.(null, this.sheet));
    element.addEventListener('wheel', (event) => this.#wheel(event), { passive: false });
    element.addEventListener('keydown', (event) => this.#key(event));
    element.addEventListener('contextmenu', (event) => event.preventDefault());
    sheet.addEventListener('photo', () => { this.cross = null; this.isHeld = false; });
  }

  /** Where the cross hairs are, on the photograph; null while they are not used. */
  get cross() { return this.#cross; }

  set cross(p) {
    const isSame = p === this.#cross;
    this.#cross = p;
    if (!isSame) this.sheet.dispatchEvent(new Event('cross'));
  }

  /** Another tool is in hand: what the last one held is its own to let go. */
  release() {
    this.isHeld = false;
    if (this.doing === 'stroke') this.doing = null;
    this.lens.hide();
  }

  // ---- Pointers ----

  #at(screen, by, event) {
    const p = this.sheet.toPhoto(screen);
    const size = largeness() / this.sheet.view.scale;
    return { ...p, screen, by, reach: REACH[by] * size, pull: PULL[by] * size,
      hand: handOf(by, this.sheet.view.scale), alone: event.altKey, sheet: this.sheet };
  }

  #screen(event) {
    const { element, size } = this.sheet;
    // A band that has just come above the photograph has not moved it yet (sheet.js): the hand goes by what it sees.
    const isMoving = element.clientWidth !== size.width || element.clientHeight !== size.height;
    const { left, top } = isMoving ? size : element.getBoundingClientRect();
    return { x: event.clientX - left - element.clientLeft, y: event.clientY - top - element.clientTop };
  }

  #atEvent(event) { return this.#at(this.#screen(event), event.pointerType || 'mouse', event); }

  #down(event) {
    if (!this.sheet.photo || (event.pointerType === 'mouse' && event.button === 2)) return;
    event.preventDefault();
    const { element } = this.sheet;
    element.focus({ preventScroll: true });
    element.setPointerCapture(event.pointerId);
    this.cross = null;
    const isPalm = event.pointerType === 'touch' && [...this.down.values()].some(({ type }) => type === 'pen');
    if (isPalm) return;
    if (event.pointerType === 'pen') this.#forgetPalm();
    const screen = this.#screen(event);
    this.down.set(event.pointerId, { screen, start: screen, type: event.pointerType });
    if (this.down.size === 2) this.#beginPinch();
    else if (this.down.size === 1) this.#beginOne(event);
  }

  /** What lay on the glass before the pen came is the hand that holds it. */
  #forgetPalm() {
    if (this.doing === 'stroke') this.tool().drop?.();
    this.down.clear();
    this.doing = null;
  }

  #beginOne(event) {
    const at = this.#atEvent(event);
    const isPush = event.button === 1 || (event.pointerType === 'mouse' && event.shiftKey);
    const taken = isPush ? false : this.tool().take(at);
    this.doing = taken ? 'stroke' : 'push';
    if (taken) this.#showLens(at);
  }

  #showLens(at) {
    if (this.tool().wantsLens === false) this.lens.hide();
    else if (at.by === 'touch' || at.by === 'pen') this.lens.show(this.tool().aim?.() ?? at, at.screen, this.sheet,
      { drawn: this.tool().drawn?.() ?? [], isDrawn: Boolean(this.tool().snap ?? this.tool().snapped) });
  }

  #beginPinch() {
    if (this.doing === 'stroke') this.tool().drop?.();
    this.lens.hide();
    this.doing = 'pinch';
  }

  #moved(event) {
    const pointer = this.down.get(event.pointerId);
    if (!pointer) {
      if (this.down.size === 0 && this.sheet.photo && event.pointerType !== 'touch') { // a palm hovers not
        this.cross = null;
        this.tool().hover?.(this.#atEvent(event), this.sheet);
      }
      return;
    }
    const screen = this.#screen(event);
    if (this.doing === 'pinch') this.#pinch(event.pointerId, screen);
    else if (this.doing === 'push') this.#push(pointer, screen);
    else if (this.doing === 'stroke') this.#draw(event);
    pointer.screen = screen;
  }

  #draw(event) {
    const trail = this.tool().wantsTrail ? event.getCoalescedEvents?.() ?? [] : [];
    for (const step of trail.length > 0 ? trail : [event]) this.tool().move(this.#atEvent(step));
    this.#showLens(this.#atEvent(event));
  }

  #push(pointer, screen) {
    pointer.hasMoved ||= Math.hypot(screen.x - pointer.start.x, screen.y - pointer.start.y) > TAP;
    if (pointer.hasMoved) this.sheet.panBy(screen.x - pointer.screen.x, screen.y - pointer.screen.y);
  }

  #pinch(id, screen) {
    const other = [...this.down].find(([key]) => key !== id)?.[1];
    const was = this.down.get(id)?.screen;
    if (!other || !was) return;
    const span = (p) => Math.max(10, Math.hypot(p.x - other.screen.x, p.y - other.screen.y));
    const middle = { x: (screen.x + other.screen.x) / 2, y: (screen.y + other.screen.y) / 2 };
    this.sheet.panBy((screen.x - was.x) / 2, (screen.y - was.y) / 2);
    this.sheet.zoomAround(middle, span(screen) / span(was));
  }

  #up(event) {
    const pointer = this.down.get(event.pointerId);
    if (!pointer) return;
    this.down.delete(event.pointerId);
    this.lens.hide();
    const at = this.#atEvent(event);
    if (this.doing === 'stroke') this.tool().up(at);
    else if (this.doing === 'push' && !pointer.hasMoved) this.tool().tap?.(at);
    // after a pinch the finger that stays pushes on, and draws nothing
    this.doing = this.down.size > 0 ? 'push' : null;
    for (const left of this.down.values()) left.hasMoved = true;
  }

  #cancelled(event) {
    if (!this.down.delete(event.pointerId)) return;
    this.lens.hide();
    if (this.doing === 'stroke') this.tool().drop?.();
    this.doing = this.down.size > 0 ? 'push' : null;
  }

  #wheel(event) {
    if (!this.sheet.photo) return;
    event.preventDefault();
    const lines = event.deltaMode === 1 ? 30 : event.deltaMode === 2 ? 300 : 1;
    const by = Math.max(-240, Math.min(240, event.deltaY * lines));
    this.sheet.zoomAround(this.#screen(event), Math.exp(-by * (event.ctrlKey ? 0.01 : 0.0022)));
  }

  // ---- Keys ----

  #key(event) {
    if (!this.sheet.photo || event.target !== this.sheet.element) return;
    if (this.#act(event)) swallow(event);
  }

  /** A tool's own key while the focus is on its tab, its button or nowhere. */
  keyFromBeside(event) {
    const isBeside = event.target === document.body || event.target.closest?.('#tools, #stand');
    if (event.key.length === 1 && settings.letters === 'off') return;
    if (!isBeside || event.target === this.sheet.element || !this.sheet.photo || !TOOL_KEYS.has(event.key)) return;
    if (this.tool().key?.(event, null)) swallow(event);
  }

  /** TRUE when the key was for the sheet. */
  #act(event) {
    const arrow = ARROWS[event.key];
    if (arrow && !event.altKey) return this.#steer(arrow, event);
    const isCommand = event.ctrlKey || event.metaKey;
    if ((event.key === 'Enter' || event.key === ' ') && !isCommand) return this.#enter(event);
    if (event.key === 'Escape' && this.isHeld) return this.#letDrop();
    if (this.tool().key?.(event, this.cross ? this.#crossAt(event) : null)) return true;
    return !isCommand && this.#zoomKey(event);
  }

  #zoomKey(event) {
    const s = this.cross ? this.sheet.toScreen(this.cross) : undefined;
    if (event.key === '+' || event.key === '=') this.sheet.zoomStep(1, s);
    else if (event.key === '-') this.sheet.zoomStep(-1, s);
    else if (event.key === '0') this.sheet.fit();
    else if (event.key === '1') this.sheet.fullSize(s);
    else return false;
    return true;
  }

  #crossAt(event) { return this.#at(this.sheet.toScreen(this.cross), 'keys', event); }

  /** The cross hairs at a place of the photograph, and the picture moved so that they are seen. */
  aimAt(p) {
    this.cross = { x: p.x, y: p.y };
    this.sheet.bringIn(this.sheet.toScreen(p), RIM);
  }

  #steer([dx, dy], event) {
    if (event.ctrlKey || event.metaKey) {
      this.sheet.panBy(-dx * 80, -dy * 80);
      return true;
    }
    const step = event.shiftKey ? LONG_STEP : STEP;
    const from = this.sheet.toScreen(this.cross ?? this.sheet.centre);
    const to = this.cross ? { x: from.x + dx * step, y: from.y + dy * step } : from;
    this.aimAt(this.sheet.toPhoto(to));
    const at = this.#crossAt(event);
    if (this.isHeld) this.tool().move(at);
    else this.tool().hover?.(at, this.sheet);
    return true;
  }

  #enter(event) {
    if (event.repeat) return true;
    if (!this.cross && this.tool().accept?.()) return true;
    if (!this.cross) return this.#steer([0, 0], event);
    const at = this.#crossAt(event);
    if (this.isHeld) {
      this.isHeld = false;
      this.tool().up(at);
      return true;
    }
    const taken = this.tool().take(at);
    if (taken === 'drag') this.isHeld = true;
    else if (taken) this.tool().up(at);
    else this.tool().tap?.(at);
    return true;
  }

  #letDrop() {
    this.isHeld = false;
    this.tool().drop?.();
    return true;
  }
}
