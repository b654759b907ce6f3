// The lens stands beside the finger and off what is being drawn.
import './stand_ins.mjs';
import assert from 'node:assert/strict';
import { test } from 'node:test';

const { standsAt } = await import('../../src/desk/page/lens.js');

const SHEET = { width: 900, height: 600 };
const SIZE = 132;
const FINGER = { x: 450, y: 300 };

function isOver({ left, top }, { x, y }) { return x > left && x < left + SIZE && y > top && y < top + SIZE; }

test('above and to the left of the finger, and never under it', () => {
  assert.deepEqual(standsAt(FINGER, SHEET, []), { left: 450 - 34 - SIZE, top: 300 - 34 - SIZE, side: 0 });
  for (let x = 0; x <= 900; x += 50)
    for (let y = 0; y <= 600; y += 50) {
      const place = standsAt({ x, y }, SHEET, []);
      assert.ok(!isOver(place, { x, y }), `the finger at ${x}, ${y}`);
      assert.ok(place.left >= 0 && place.top >= 0 && place.left + SIZE <= 900 && place.top + SIZE <= 600, `on the sheet at ${x}, ${y}`);
    }
});

test('where a stroke lies it does not stand, even where only an edge of it passes', () => {
  const edge = [{ x: 380, y: 20 }, { x: 380, y: 290 }, FINGER];
  const { side, ...place } = standsAt(FINGER, SHEET, edge);
  assert.equal(side, 1, 'to the right instead');
  assert.ok(!edge.some((p) => isOver(place, p)));
});

test('it stays on the side where it stands while it covers nothing', () => {
  assert.equal(standsAt(FINGER, SHEET, [], 3).side, 3);
  const around = Array.from({ length: 60 }, (_, i) => ({ x: 450 - 150 + 150 * Math.cos(i / 10), y: 300 + 150 * Math.sin(i / 10) }));
  const { side } = standsAt(FINGER, SHEET, around, 0);
  assert.ok(side === 1 || side === 3, 'out of a ring that lies to the left');
});
