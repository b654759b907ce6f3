// Mouse, touch, pen and keys become the same strokes; two fingers move the picture, whatever is drawn.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { toPhoto, toScreen } from '../../src/desk/page/view.js';

const root = { dataset: {}, style: {} };
globalThis.document = { documentElement: root, body: {}, querySelector: () => null };
globalThis.getComputedStyle = () => ({ fontSize: '16px' });
globalThis.localStorage = { getItem: () => null, setItem: () => {} };
globalThis.matchMedia = () => ({ matches: false, addEventListener: () => {} });
const { Pen } = await import('../../src/desk/page/pen.js');

class FakeElement extends EventTarget {
  clientLeft = 0;
  clientTop = 0;
  clientWidth = 600;
  clientHeight = 500;
  top = 50;
  focus() {}
  setPointerCapture() {}
  getBoundingClientRect() { return { left: 100, top: this.top }; }
}

class FakeSheet extends EventTarget {
  element = new FakeElement();
  photo = { id: 'p', width: 4000, height: 6000 };
  size = { width: 600, height: 500, left: 100, top: 50 };
  view = { scale: 0.5, left: 20, top: 10 };
  done = [];
  toScreen(p) { return toScreen(this.view, p); }
  toPhoto(s) { return toPhoto(this.view, s); }
  get centre() { return this.toPhoto({ x: 300, y: 250 }); }
  panBy(x, y) { this.done.push(['pan', x, y]); }
  zoomAround(s, factor) { this.done.push(['zoom', Number(factor.toFixed(3))]); }
  bringIn() {}
}

/** A tool that tells what it was told; `answer`: what take gives. */
function bench(answer) {
  const sheet = new FakeSheet();
  const told = [];
  const tell = (name) => (at) => { told.push(at ? `${name} ${at.x},${at.y} by ${at.by}` : name); };
  const tool = { move: tell('move'), up: tell('up'), drop: tell('drop'), tap: tell('tap'), hover: tell('hover'),
    take(at) { tell('take')(at); return answer; } };
  const pen = new Pen(sheet, () => tool, { show() {}, hide() {} });
  const send = (type, props) => sheet.element.dispatchEvent(Object.assign(new Event(type, { cancelable: true }), props));
  const point = (type, x, y, id = 1, pointerType = 'mouse', more = {}) =>
    send(type, { pointerId: id, pointerType, clientX: x, clientY: y, button: 0, altKey: false, shiftKey: false, ...more });
  const key = (name, more = {}) => {
    const event = Object.assign(new Event('keydown', { cancelable: true }), { key: name, ...more });
    Object.defineProperty(event, 'target', { value: sheet.element });
    sheet.element.dispatchEvent(event);
    return event.defaultPrevented;
  };
  return { sheet, told, pen, point, key };
}

test('a mouse, a finger and a pen make the same stroke, at places of the photograph', () => {
  for (const type of ['mouse', 'touch', 'pen']) {
    const { told, point } = bench('click');
    point('pointerdown', 180, 100, 1, type);
    point('pointermove', 181, 102, 1, type);
    point('pointerup', 181, 102, 1, type);
    // (180 - 100 + 20) / 0.5 = 200, (100 - 50 + 10) / 0.5 = 120
    assert.deepEqual(told, [`take 200,120 by ${type}`, `move 202,124 by ${type}`, `up 202,124 by ${type}`]);
  }
});

test('a band that comes above the photograph while the pen is down does not move the stroke', () => {
  const { told, sheet, point } = bench('click');
  point('pointerdown', 180, 100);
  Object.assign(sheet.element, { top: 92, clientHeight: 458 }); // the sheet itself has not heard of it yet
  point('pointerup', 180, 100);
  assert.equal(told.at(-1), 'up 200,120 by mouse');
});

test('what no tool takes pushes the picture; a touch that did not move is a tap', () => {
  const { told, sheet, point } = bench(false);
  point('pointerdown', 180, 100);
  point('pointermove', 182, 101);
  assert.deepEqual(sheet.done, [], 'a trembling hand moves nothing');
  point('pointermove', 200, 120);
  point('pointerup', 200, 120);
  assert.deepEqual(sheet.done, [['pan', 18, 19]]);
  assert.deepEqual(told, ['take 200,120 by mouse']);
  point('pointerdown', 180, 100);
  point('pointerup', 180, 100);
  assert.deepEqual(told.at(-1), 'tap 200,120 by mouse');
});

test('a second finger ends the stroke and moves the picture; the one left draws nothing', () => {
  const { told, sheet, point } = bench('drag');
  point('pointerdown', 200, 200, 1, 'touch');
  point('pointerdown', 300, 200, 2, 'touch');
  assert.equal(told.at(-1), 'drop');
  point('pointermove', 400, 200, 2, 'touch');
  assert.deepEqual(sheet.done, [['pan', 50, 0], ['zoom', 2]]);
  point('pointerup', 400, 200, 2, 'touch');
  point('pointermove', 210, 210, 1, 'touch');
  point('pointerup', 210, 210, 1, 'touch');
  assert.deepEqual(told, ['take 240,320 by touch', 'drop']);
  point('pointerdown', 200, 200, 3, 'touch');
  assert.equal(told.at(-1), 'take 240,320 by touch', 'the next finger draws again');
});

test('a palm that lies there before the pen comes is none', () => {
  const { told, sheet, point } = bench('drag');
  point('pointerdown', 300, 400, 2, 'touch');
  point('pointerdown', 200, 200, 1, 'pen');
  point('pointermove', 302, 404, 2, 'touch');
  point('pointermove', 204, 200, 1, 'pen');
  point('pointerup', 302, 404, 2, 'touch');
  point('pointerup', 204, 200, 1, 'pen');
  assert.deepEqual(told, ['take 440,720 by touch', 'drop', 'take 240,320 by pen', 'move 248,320 by pen', 'up 248,320 by pen']);
  assert.deepEqual(sheet.done, [], 'and nothing was pushed about');
});

test('a palm beside the pen is none', () => {
  const { told, point } = bench('drag');
  point('pointerdown', 200, 200, 1, 'pen');
  point('pointerdown', 300, 400, 2, 'touch');
  point('pointerup', 300, 400, 2, 'touch');
  point('pointerup', 204, 200, 1, 'pen');
  assert.deepEqual(told, ['take 240,320 by pen', 'up 248,320 by pen']);
});

test('Shift pushes the picture with any tool', () => {
  const { told, point } = bench('click');
  point('pointerdown', 200, 200, 1, 'mouse', { shiftKey: true });
  point('pointermove', 260, 200, 1, 'mouse', { shiftKey: true });
  point('pointerup', 260, 200);
  assert.deepEqual(told, []);
});

test('cross hairs: a pixel of the screen a step, twenty with Shift; Enter sets', () => {
  const { told, key, pen } = bench('click');
  assert.ok(key('ArrowRight'), 'they come up in the middle');
  assert.deepEqual(pen.cross, { x: 640, y: 520 });
  key('ArrowRight');
  key('ArrowDown', { shiftKey: true });
  assert.deepEqual(pen.cross, { x: 642, y: 560 });
  key('Enter');
  assert.deepEqual(told.slice(-2), ['take 642,560 by keys', 'up 642,560 by keys']);
});

test('with a tool that drags, Enter takes and Enter lets go; Escape drops', () => {
  const { told, key, pen } = bench('drag');
  key('ArrowRight');
  key('Enter');
  key('ArrowLeft');
  key('Enter');
  assert.deepEqual(told.slice(-3), ['take 640,520 by keys', 'move 638,520 by keys', 'up 638,520 by keys']);
  key('Enter');
  key('Escape');
  assert.equal(told.at(-1), 'drop');
  key('Enter');
  pen.release();
  key('Enter');
  assert.equal(told.at(-1), 'take 638,520 by keys', 'another tool begins anew');
});

test('keys that are nobody\'s here go on to the page', () => {
  const { key } = bench('click');
  assert.equal(key('n'), false);
  assert.equal(key('+', { ctrlKey: true }), false);
});
