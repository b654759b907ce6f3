// Where a point of the photograph lies on the screen: both ways, at any zoom; and the small
// photograph's way of moving along.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { affineThrough, centreAfterZoom, centreOf, fitScale, follower, toPhoto, toScreen, viewOf }
  from '../../src/desk/page/view.js';

const SHEET = { width: 690, height: 561 };
const near = (a, b, by, what) => assert.ok(Math.hypot(a.x - b.x, a.y - b.y) <= by, `${what}: ${JSON.stringify([a, b])}`);

test('a place goes to the screen and comes back the same', () => {
  for (const scale of [1 / 64, 0.0893, 0.5, 1, Math.SQRT2, 2, 7.3, 32])
    for (const p of [{ x: 0, y: 0 }, { x: 1204.25, y: 880.75 }, { x: 19999.99, y: 13331.01 }]) {
      const view = viewOf({ x: 3000, y: 2000 }, scale, SHEET);
      near(toPhoto(view, toScreen(view, p)), p, 1e-8, `at ${scale}`);
    }
});

test('the origin is the outer corner of the top-left pixel', () => {
  const view = { scale: 4, left: -10, top: -20 };
  assert.deepEqual(toScreen(view, { x: 0, y: 0 }), { x: 10, y: 20 });
  assert.deepEqual(toScreen(view, { x: 0.5, y: 0.5 }), { x: 12, y: 22 }, 'the middle of the first pixel');
});

test('at full size a pixel of the photograph is a pixel of the screen', () => {
  const view = viewOf({ x: 1234.56, y: 789.01 }, 1, SHEET);
  const s = toScreen(view, { x: 7, y: 9 });
  assert.ok(Number.isInteger(s.x) && Number.isInteger(s.y));
});

test('what lies under the pen stays under it while zooming', () => {
  let view = viewOf({ x: 3000, y: 2000 }, 0.2, SHEET);
  const pen = { x: 101, y: 470 };
  const p = toPhoto(view, pen);
  for (let i = 0; i < 12; i += 1) {
    const scale = view.scale * 1.37;
    view = viewOf(centreAfterZoom(view, SHEET, pen, scale), scale, SHEET);
    near(toScreen(view, p), pen, 1e-6, 'does not drift');
  }
});

test('the whole photograph is seen when it is fitted', () => {
  const photo = { width: 4000, height: 6000 };
  const view = viewOf({ x: 2000, y: 3000 }, fitScale(photo, SHEET), SHEET);
  const [a, b] = [toScreen(view, { x: 0, y: 0 }), toScreen(view, { x: 4000, y: 6000 })];
  assert.ok(a.x >= 0 && a.y >= 0 && b.x <= SHEET.width && b.y <= SHEET.height);
  assert.ok(b.y - a.y > SHEET.height - 30, 'and fills the sheet');
  near(centreOf(view, SHEET), { x: 2000, y: 3000 }, 1 / view.scale, 'centred');
});

test('ties carry one photograph to the other; without them it goes in proportion', () => {
  const truth = ({ x, y }) => ({ x: 0.9 * x - 0.1 * y + 40, y: 0.12 * x + 0.95 * y - 70 });
  const from = [{ x: 0, y: 0 }, { x: 3000, y: 100 }, { x: 2800, y: 2000 }, { x: 50, y: 1900 }];
  const ties = from.map((p) => ({ from: p, to: truth(p) }));
  const way = follower({ width: 3000, height: 2000 }, { width: 3000, height: 2000 }, ties);
  near(way.map({ x: 1500, y: 1500 }), truth({ x: 1500, y: 1500 }), 1e-6, 'by ties');
  assert.ok(Math.abs(way.stretch - Math.sqrt(0.9 * 0.95 + 0.12 * 0.1)) < 1e-9);
  const plain = follower({ width: 3000, height: 2000 }, { width: 1500, height: 1000 });
  near(plain.map({ x: 300, y: 200 }), { x: 150, y: 100 }, 1e-9, 'in proportion');
  assert.equal(plain.stretch, 0.5);
});

test('ties in one line carry nothing', () => {
  const line = [0, 1, 2, 3].map((i) => ({ x: i * 100, y: i * 50 }));
  assert.equal(affineThrough(line, line), null);
  assert.equal(affineThrough(line.slice(0, 2), line.slice(0, 2)), null);
});
