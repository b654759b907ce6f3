// Points, paths and snapping. Values that are not obvious are worked out by hand beside them.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { between, clampInto, findCrossing, findOutside, formatPoints, isInside, nearestEdge, nearestVertex, parsePoints, trimmed,
  withoutCrowd } from '../../src/desk/page/points.js';
import { snapTo } from '../../src/desk/page/snap.js';

const SQUARE = parsePoints('0,0 10,0 10,10 0,10');

test('points are written as the record writes them, with two decimals at most', () => {
  assert.equal(formatPoints([{ x: 1, y: 2.345 }, { x: -0.001, y: 1e4 + 1 / 3 }]), '1,2.35 0,10000.33');
  assert.equal(formatPoints(parsePoints(' 1.20,3.40\n 5,6 ')), '1.2,3.4 5,6');
});

test('what is written differs from what was drawn by less than 0.06 px', () => {
  for (let i = 0; i < 1000; i += 1) {
    const p = { x: i * 17.123457, y: i * 3.9876543 };
    const [q] = parsePoints(formatPoints([p]));
    assert.ok(Math.hypot(p.x - q.x, p.y - q.y) < 0.01);
  }
});

test('inside, with a hole', () => {
  const hole = parsePoints('4,4 6,4 6,6 4,6');
  assert.equal(isInside([SQUARE, hole], { x: 2, y: 2 }), true);
  assert.equal(isInside([SQUARE, hole], { x: 5, y: 5 }), false);
  assert.equal(isInside([SQUARE, hole], { x: 12, y: 5 }), false);
});

test('the nearest vertex and edge', () => {
  assert.deepEqual(nearestVertex(SQUARE, { x: 9, y: 9 }, 2), { i: 2, distance: Math.SQRT2 });
  assert.equal(nearestVertex(SQUARE, { x: 5, y: 5 }, 2), null);
  const closing = nearestEdge(SQUARE, true, { x: -1, y: 5 }, 2);
  assert.equal(closing.i, 3, 'the edge that closes the ring');
  assert.deepEqual(closing.at, { x: 0, y: 5 });
  assert.equal(nearestEdge(SQUARE, false, { x: -1, y: 5 }, 2), null, 'a line has none there');
});

test('a crossing is found, neighbours do not cross', () => {
  assert.equal(findCrossing(SQUARE, true), null);
  const bow = parsePoints('0,0 10,10 10,0 0,10');
  assert.deepEqual(findCrossing(bow, true).at, { x: 5, y: 5 });
  assert.equal(findCrossing(parsePoints('0,0 10,0 5,5'), true), null);
  for (const edges of [[3, 0], [-1, 0], [1, 2]]) assert.ok(findCrossing(bow, true, edges), `of the edges ${edges}`);
  assert.equal(findCrossing(SQUARE, true, [-1, 0]), null);
  assert.equal(findCrossing(parsePoints('0,0 10,10 10,0 5,20 0,10'), true, [3]), null, 'those not asked about are not looked at');
});

const LEAST = { ends: 24, loop: 12 };

test('an overshoot at the beginning and a trembling hand\'s loops are trimmed', () => {
  const round = Array.from({ length: 64 }, (_, i) => {
    const angle = (i / 60) * 2 * Math.PI; // goes 4 steps beyond a whole turn, and crosses itself
    const r = 100 - i * 0.5;
    return { x: 200 + r * Math.cos(angle), y: 200 + r * Math.sin(angle) };
  });
  round.push({ x: 320, y: 215 }); // out across its own beginning
  assert.ok(findCrossing(round, true));
  const { path, isTrimmed, crossing } = trimmed(round, { ends: 70, loop: 0 });
  assert.deepEqual([isTrimmed, crossing, findCrossing(path, true)], [true, null, null]);
  assert.ok(path.length >= 55, 'the large way round is kept');
  const knot = parsePoints('0,0 100,0 100,100 52,100 50,104 48,100 51,101 0,100');
  assert.equal(findCrossing(trimmed(knot, LEAST).path, true), null);
  assert.ok(trimmed(knot, { ends: 24, loop: 1 }).crossing, 'a loop that is seen is no trembling');
  assert.deepEqual(trimmed(SQUARE, LEAST), { path: SQUARE, isTrimmed: false, crossing: null });
});

test('a figure of eight stays whole, wherever it was begun', () => {
  const eight = Array.from({ length: 80 }, (_, i) => {
    const angle = (i / 81) * 2 * Math.PI;
    return { x: 300 * Math.sin(angle), y: 200 * Math.sin(2 * angle) };
  });
  for (const from of [5, 20, 33, 60]) {
    const stroke = [...eight.slice(from), ...eight.slice(0, from)];
    const { path, crossing } = trimmed(stroke, LEAST);
    assert.equal(path, stroke);
    assert.ok(Math.hypot(crossing.x, crossing.y) < 8, 'it crosses in the middle');
  }
});

test('a path is found to leave a ring by a corner or by an edge', () => {
  assert.equal(findOutside(parsePoints('2,2 8,2 5,8'), true, SQUARE), null);
  assert.deepEqual(findOutside(parsePoints('2,2 14,2 5,8'), true, SQUARE), { x: 14, y: 2 });
  const notched = parsePoints('0,0 10,0 10,10 5,4 0,10');
  const across = parsePoints('1,7 5,2 9,7');
  assert.equal(findOutside(across, false, notched), null);
  assert.ok(findOutside(across, true, notched), 'by the edge that closes it');
});

test('a resting hand draws no points; nothing lies outside the picture', () => {
  assert.equal(withoutCrowd(parsePoints('0,0 0.1,0 5,0 5,0.2 9,0'), 1).length, 3);
  const slow = Array.from({ length: 101 }, (_, i) => ({ x: 0.3 * i, y: 0 })); // a careful hand goes in small steps
  assert.deepEqual(withoutCrowd(slow, 1).slice(0, 3).map(({ x }) => Number(x.toFixed(1))), [0, 1.2, 2.4]);
  assert.ok(withoutCrowd(slow, 1).at(-1).x > 28.9);
  assert.deepEqual(clampInto({ x: -3, y: 7001 }, { width: 6000, height: 4000 }), { x: 0, y: 4000 });
});

function shape(text) {
  const ring = parsePoints(text);
  const [xs, ys] = [ring.map(({ x }) => x), ring.map(({ y }) => y)];
  return { rings: [ring], box: { left: Math.min(...xs), right: Math.max(...xs), top: Math.min(...ys), bottom: Math.max(...ys) } };
}

test('the pen is drawn to the nearest vertex, which is copied exactly', () => {
  const shapes = [shape('100.25,100.75 200,100 200,200'), shape('104,100 300,300 50,300')];
  const at = { x: 101, y: 101, pull: 10, alone: false };
  assert.deepEqual(snapTo(at, shapes), { x: 100.25, y: 100.75, shape: shapes[0], ring: 0, i: 0 });
  assert.deepEqual(snapTo(at, shapes, (one, ring, i) => one === shapes[0] && ring === 0 && i === 0),
    { x: 104, y: 100, shape: shapes[1], ring: 0, i: 0 });
  assert.equal(snapTo({ ...at, alone: true }, shapes), null, 'Alt holds it off');
  assert.equal(snapTo({ ...at, x: 150, y: 150 }, shapes), null, 'nothing within reach');
});

test('a shared edge follows the shorter way round', () => {
  const ring = parsePoints('0,0 10,0 20,0 20,10 20,20 0,15');
  const xs = (i, j, closed = true) => formatPoints(between(ring, closed, i, j));
  assert.equal(xs(0, 2), '10,0');
  assert.equal(xs(2, 0), '10,0');
  assert.equal(xs(1, 4), '20,0 20,10');
  assert.equal(xs(4, 1), '20,10 20,0');
  assert.equal(xs(0, 4), '0,15', 'round by the last vertex');
  assert.equal(xs(4, 0), '0,15');
  assert.equal(xs(0, 4, false), '10,0 20,0 20,10', 'a line has one way');
  assert.equal(xs(3, 3), '');
});
