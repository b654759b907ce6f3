// What was marked before, carried to the after photograph by ties.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { earlierMarks } from '../../src/desk/page/earlier.js';
import { homographyThrough } from '../../src/desk/page/homography.js';

/** A camera that stood elsewhere: a projective map with known numbers. */
const truth = ({ x, y }) => {
  const w = 1 + 2e-5 * x - 1e-5 * y;
  return { x: (0.97 * x + 0.06 * y + 31) / w, y: (-0.05 * x + 1.02 * y - 12) / w };
};
const CORNERS = [{ x: 600, y: 1400 }, { x: 3300, y: 1450 }, { x: 3250, y: 5500 }, { x: 620, y: 5450 }];
const near = (a, b, by) => assert.ok(Math.hypot(a.x - b.x, a.y - b.y) < by, JSON.stringify([a, b]));

test('four ties give the map between two photographs of a flat face exactly, more by least squares', () => {
  const inside = { x: 2000, y: 3000 };
  near(homographyThrough(CORNERS, CORNERS.map(truth))(inside), truth(inside), 1e-6);
  const many = [...CORNERS, { x: 1900, y: 1500 }, { x: 700, y: 3300 }, { x: 3200, y: 3500 }, { x: 1800, y: 5300 }];
  const shaken = many.map(truth).map(({ x, y }, i) => ({ x: x + (i % 2 ? 1 : -1), y: y + (i % 3 ? 1 : -1) }));
  near(homographyThrough(many, shaken)(inside), truth(inside), 1.5);
});

test('three ties, or four in a line, give none', () => {
  assert.equal(homographyThrough(CORNERS.slice(0, 3), CORNERS.slice(0, 3)), null);
  const line = [0, 1, 2, 3].map((i) => ({ x: 100 * i, y: 50 * i }));
  assert.equal(homographyThrough(line, line), null);
});

test('only what has no place of its own on the after photograph is carried over', () => {
  const ties = CORNERS.map((from) => ({ from, to: truth(from) }));
  const before = { file: 'a.jpg', marks: [
    { id: '1', number: '1', words: { term: 'loss', outline: '600,1400 3300,1450 3250,5500', holes: ['620,5450 600,1400 3300,1450'] } },
    { id: '2', number: '2', words: { term: 'tear', line: '600,1400 3300,1450' } }] };
  const after = { file: 'b.jpg', marks: [
    { id: '1', words: { earlier: 'a.jpg#1', gone: 'yes' } }, { id: '2', words: { earlier: 'a.jpg#2', line: '1,1 2,2' } }] };
  const [mark, ...others] = earlierMarks(after, before, ties);
  assert.equal(others.length, 0);
  assert.deepEqual([mark.number, mark.words.gone, mark.words.holes.length], ['1', 'yes', 1]);
  const [x, y] = mark.words.outline.split(' ')[2].split(',').map(Number);
  near({ x, y }, truth(CORNERS[2]), 0.01);
  assert.deepEqual(earlierMarks(after, before, ties.slice(1)), []);
});
