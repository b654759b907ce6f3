// Fine tiles for the magnifier: which, how many at once, and that the newest place wins.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { FineTiles, tilesRound } from '../../src/desk/page/fine.js';

const LEVELS = [{ width: 4000, height: 6000 }, { width: 2000, height: 3000 }, { width: 1000, height: 1500 }];
const PHOTO = { id: 'p', tile: 512, levels: LEVELS };
let made = [];
globalThis.Image = class {
  constructor() { made.push(this); }
  complete = false;
  naturalWidth = 0;
  arrive() { Object.assign(this, { complete: true, naturalWidth: 512, naturalHeight: 512 }); this.onload?.(); }
};
const isUnderWay = ({ src, complete }) => src !== '' && !complete;

test('the tiles round a place, the nearest first and none beyond the picture', () => {
  assert.deepEqual(tilesRound({ x: 500, y: 100 }, 60, 512, LEVELS[0]), [{ x: 0, y: 0 }, { x: 1, y: 0 }]);
  assert.deepEqual(tilesRound({ x: 3999, y: 5999 }, 60, 512, LEVELS[0]), [{ x: 7, y: 11 }]);
  assert.equal(tilesRound({ x: 2000, y: 2000 }, 2000, 512, LEVELS[0]).length, 4);
});

test('the level is the coarsest that has a pixel for each one of the screen', () => {
  for (const [scale, level] of [[4, 0], [1, 0], [0.6, 0], [0.5, 1], [0.3, 1], [0.1, 2]]) {
    made = [];
    new FineTiles().round({ x: 100, y: 100 }, 10, scale, PHOTO, () => {});
    assert.equal(made[0].src, `/photo/p/tile/${level}/0/0`, `at ${scale}`);
  }
});

test('the newest place wins, at most four are under way, and what came is drawn', () => {
  made = [];
  let came = 0;
  const fine = new FineTiles();
  const look = (x, y) => fine.round({ x, y }, 60, 1, PHOTO, () => { came += 1; });
  assert.deepEqual(look(512, 512), []);
  assert.equal(made.filter(isUnderWay).length, 4);
  look(2048, 2048);
  assert.equal(made.filter(isUnderWay).length, 4);
  const last = made.at(-1);
  last.arrive();
  assert.equal(came, 1);
  assert.deepEqual(look(2048, 2048).map(({ image }) => image), [last]);
  assert.equal(made.length, 8, 'asked for once');
});

test('a long way over the picture keeps a few tiles only', () => {
  made = [];
  const fine = new FineTiles();
  for (let x = 256; x < 4000; x += 512) for (let y = 256; y < 6000; y += 512) {
    fine.round({ x, y }, 60, 1, PHOTO, () => {});
    made.at(-1).arrive();
  }
  assert.ok(made.filter(({ src }) => src !== '').length <= 13, 'twelve and the one that is looked at');
});
