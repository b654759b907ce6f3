// The dots of an outline are drawn no further than the sheet reaches, and lie still while it is pushed.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { partsIn } from '../../src/desk/page/own.js';

const STEP = 10;
const box = { left: 0, top: 0, right: 1000, bottom: 800 };
const square = (x, y, side) => [{ x, y }, { x: x + side, y }, { x: x + side, y: y + side }, { x, y: y + side }];

test('what is wholly in sight is drawn whole, in one', () => {
  const ring = square(100, 100, 503);
  assert.deepEqual(partsIn(box, ring, STEP), [[...ring, ring[0]]]);
});

test('of what runs far beyond the sheet only that is drawn which crosses it', () => {
  const parts = partsIn(box, square(503, 307, 100000), STEP); // a corner, and the two edges that leave from it
  assert.deepEqual(parts[0], [{ x: 503, y: 307 }, { x: 1000, y: 307 }]);
  assert.equal(parts.length, 2);
  const [from, to] = parts[1];
  assert.ok(from.y >= 800 && from.y < 800 + STEP, `begins at ${from.y}`);
  assert.deepEqual([Math.round(from.x), Math.round(to.x), Math.round(to.y)], [503, 503, 307]);
  assert.deepEqual(partsIn(box, square(-5000, -5000, 100000), STEP), [], 'the sheet lies within the face');
});

test('dots lie where they lay before it was cut, also beyond a corner', () => {
  for (const left of [-3, -17.5, -40000])
    for (const ring of [square(left, 50, 50000), [{ x: left, y: -77.7 }, ...square(left, 50, 50000)]]) {
      const [[p]] = partsIn(box, ring, STEP);
      const along = (p.x - left + 50 - ring[0].y) / STEP;
      assert.ok(Math.abs(along - Math.round(along)) < 1e-6, `${along} steps`);
      assert.ok(p.x <= 0 && p.x > -STEP, `begins at ${p.x}`);
    }
});
