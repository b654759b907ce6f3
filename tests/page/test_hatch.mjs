// Hatch lines: inside, on one raster, the middle of a large mark free.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { hatch } from '../../src/desk/page/hatch.js';
import { isInside, parsePoints } from '../../src/desk/page/points.js';

const EVERYWHERE = { left: -1e4, top: -1e4, right: 1e4, bottom: 1e4 };
const BENT = parsePoints('3,2 120,9 140,80 90,60 40,130 5,90');
const HOLE = parsePoints('50,30 80,30 80,50 50,50');

test('every line lies inside, whatever its angle', () => {
  for (const angle of [0, 45, -45, 90, 20]) {
    const lines = hatch([BENT, HOLE], { angle, gap: 7, reach: 12, box: EVERYWHERE, origin: { x: 0, y: 0 } });
    assert.ok(lines.length > 5);
    for (const [x1, y1, x2, y2] of lines)
      for (const t of [0.01, 0.5, 0.99])
        assert.ok(isInside([BENT, HOLE], { x: x1 + t * (x2 - x1), y: y1 + t * (y2 - y1) }), `${angle}: ${x1},${y1}`);
  }
});

test('the middle of a large mark stays free and a narrow one is crossed', () => {
  const options = { angle: 0, gap: 10, reach: 20, box: EVERYWHERE, origin: { x: 0, y: -5 } };
  const wide = hatch([parsePoints('0,0 100,0 100,10 0,10')], options);
  assert.deepEqual(wide, [[0, 5, 20, 5], [80, 5, 100, 5]]);
  const narrow = hatch([parsePoints('0,0 50,0 50,10 0,10')], options);
  assert.deepEqual(narrow, [[0, 5, 50, 5]]);
});

test('45 degrees goes up to the right, as on the plates', () => {
  const [, [x1, y1, x2, y2]] = hatch([parsePoints('0,0 20,0 20,20 0,20')],
    { angle: 45, gap: 11, reach: 99, box: EVERYWHERE, origin: { x: 0, y: 0 } });
  assert.ok((x2 - x1) * (y2 - y1) < 0);
});

test('the raster is the photograph\'s: it does not swim while the picture is pushed', () => {
  const at = (dx) => hatch([BENT.map(({ x, y }) => ({ x: x + dx, y }))],
    { angle: 20, gap: 7, reach: 12, box: EVERYWHERE, origin: { x: dx, y: 0 } });
  const [still, pushed] = [at(0), at(13)];
  assert.equal(still.length, pushed.length);
  still.forEach(([x1], i) => assert.ok(Math.abs(pushed[i][0] - x1 - 13) < 1e-9));
});

test('no gap, no hatch', () => {
  assert.deepEqual(hatch([BENT], { angle: 0, gap: 0, reach: 9, box: EVERYWHERE, origin: { x: 0, y: 0 } }), []);
});
