// An outline that looks as if more was taken in than the damage is doubted.
import './stand_ins.mjs';
import assert from 'node:assert/strict';
import { test } from 'node:test';

globalThis.localStorage = { getItem: () => null, setItem: () => {} };
globalThis.matchMedia = () => ({ matches: false, addEventListener: () => {} });
Object.assign(globalThis.document, { documentElement: { dataset: {}, style: {} } });
const { parsePoints } = await import('../../src/desk/page/points.js');
const { doubtOf } = await import('../../src/desk/page/tools/edge.js');

const PHOTO = { width: 4000, height: 3000 };
const box = (left, top, right, bottom) => parsePoints(`${left},${top} ${right},${top} ${right},${bottom} ${left},${bottom}`);

test('an outline that runs to any edge of the photograph is doubted, by as much as it was thinned', () => {
  for (const ring of [box(0, 50, 300, 300), box(50, 2, 300, 300), box(50, 50, 3998, 300), box(50, 50, 300, 3000)])
    assert.match(doubtOf(ring, 1.5, PHOTO), /^it runs to the photograph’s edge: is this the damage\?$/);
  assert.equal(doubtOf(box(4, 4, 300, 300), 1.5, PHOTO), null);
  assert.equal(doubtOf(box(50, 50, 300, 300), 1.5, PHOTO), null);
});

test('so is one of more than a quarter of it', () => {
  assert.equal(doubtOf(box(100, 100, 2100, 1599), 1, PHOTO), null, '2000 x 1499 of 4000 x 3000');
  assert.match(doubtOf(box(100, 100, 2100, 1601), 1, PHOTO), /^over a quarter of the photograph: is this the damage\?$/);
});
