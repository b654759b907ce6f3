// What is drawn by mouse is what is saved, at several zooms, read back by a reader that shares no
// code with the project; and the size that is shown is the one that `measure` prints.

import { FRONT, FRONT_NAME, around, check, equal, measure, near, note, run, sizeWords, test, until } from './bench.mjs';
import { atBoard, atDesk } from './desk.mjs';
import { marksOf, points } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

/** Places of the front board where nothing is marked, on its cloth: one for each zoom. */
const FREE = [[null, [1700, 3800]], [0.5, [1500, 3600]], [1, [1900, 3600]], [4, [2000, 3950]], [16, [1400, 4000]]];
const PLACE = [1900, 3600];

const HEXAGON = [[0, -90], [85, -50], [95, 40], [10, 92], [-88, 55], [-80, -48]]; // on the screen
const INNER = [[-20, -25], [25, -10], [5, 30]];
const BENT = [[-90, -110], [-50, -130], [30, -120], [80, -140]];
const SPOT = [[110, 0]];
const SMALL = 0.42; // of that where the whole is in sight, for neighbours' corners draw the pen to them

/** An area with a hole, a line and a point round a place; what was touched. */
async function drawAll(window, place, scale) {
  const outline = await window.ring('Area', around(place, HEXAGON, scale));
  await window.button('Hole').click();
  const hole = await window.ring(null, around(place, INNER, scale));
  const line = await window.polyline(around(place, BENT, scale));
  await window.tool('Point');
  const point = await window.touchAll(around(place, SPOT, scale));
  return { outline, hole, line, point };
}

function compare(marks, drawn, what) {
  const [area, line, point] = marks.slice(-3);
  near(points(area.outline), drawn.outline, `${what}, area`);
  equal(area.holes.length, 1, 'holes');
  near(points(area.holes[0]), drawn.hole, `${what}, hole`);
  near(points(line.line), drawn.line, `${what}, line`);
  near(points(point.point), drawn.point, `${what}, point`);
}

for (const [zoom, place] of FREE)
  test(`area, hole, line and point are saved where they were drawn, ${zoom ? `${zoom} : 1` : 'the whole in sight'}`, async () => {
    await atDesk(async ({ volume, window }) => {
      const before = marksOf(volume);
      await window.open(FRONT_NAME);
      if (zoom) await window.zoom(place, zoom);
      const { scale } = await window.large.lay();
      const drawn = await drawAll(window, place, zoom ? scale.x : scale.x / SMALL);
      await window.saved();
      const after = marksOf(volume);
      equal(after.length, before.length + 3, 'marks');
      equal(after.slice(0, before.length), before, 'the other marks');
      compare(after, drawn, `${scale.x.toFixed(3)} : 1`);
      checkHand(after.slice(-3, -1), scale.x);
    });
  });

const TAKEN_FOR_GRANTED = 2; // px: `outline`, docs/measuring.md

/** What the record says of the hand: a pixel of the screen, where that is more than is taken for granted. */
function checkHand(marks, scale) {
  const hand = 1 / scale;
  for (const mark of marks) {
    const said = mark.uncertainty ? Number(mark.uncertainty.outline) : null;
    if (hand <= TAKEN_FOR_GRANTED) equal(said, null, `mark ${mark.id}, from near by`);
    else check(Math.abs(said / hand - 1) < 0.05, `mark ${mark.id}: ${said} px, but a pixel of the screen is ${hand}`);
  }
}

test('what is drawn from far away has a wider ±; a point moved from there widens another', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    await window.zoom(PLACE, 1);
    const drawn = await window.ring('Area', around(PLACE, HEXAGON, 1));
    await window.saved();
    const near = marksOf(volume).at(-1);
    equal(near.uncertainty, undefined, 'from near by nothing is said');
    await window.button('Whole').click();
    const { scale } = await window.large.lay();
    const [{ screen: from }] = await window.large.aim([drawn[3]]);
    await window.tool('Look');
    await window.drag(from, [from[0], from[1] + 40]);
    const far = await until('a wider hand', () => marksOf(volume).at(-1).uncertainty && marksOf(volume).at(-1));
    check(Math.abs(far.uncertainty.outline * scale.x - 1) < 0.05, `${far.uncertainty.outline} px at ${scale.x}`);
    const { area_mm2: size } = measured(volume, near.id);
    await window.headSays(sizeWords(size, 'mm²'));
    await window.button('Undo').click();
    await until('the mark as it was', () => JSON.stringify(marksOf(volume).at(-1)) === JSON.stringify(near));
    check(measured(volume, near.id).area_mm2.U < size.U / 2, 'it was surer before');
  });
});

const measured = (volume, id) => measure(volume.path).photos.find(({ file }) => file === FRONT).marks.find((mark) => mark.id === id);

test('a name is kept, and a reload shows mark, name and size as they were', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    await window.ring('Area', around(PLACE, HEXAGON, 0.5));
    await window.name('ab', 'abrasion');
    await window.part('cloth side');
    await window.saved();
    const { id, term, part } = marksOf(volume).at(-1);
    equal([term, part], ['abrasion', 'cloth side'], 'the sidecar');
    const head = await window.headSays(sizeWords(measured(volume, id).area_mm2, 'mm²'));
    await window.reload();
    await window.open(FRONT_NAME);
    await window.choose(new RegExp(`^${id}\\b.*abrasion`));
    equal(await window.headSays(head), head, 'the head after a reload');
  });
});

test('the size that runs along while drawing is the one measured afterwards', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    await window.zoom(PLACE, 1);
    await window.tool('Area');
    const aims = await window.large.aim(around(PLACE, HEXAGON, 1));
    for (const { screen } of aims) await window.click(screen);
    await window.mouse([aims[0].screen]); // on the first corner the ring is whole
    await window.sized();
    const live = await until('a live size', async () => /\S+ ± \S+ mm²/.exec(await window.headWords())?.[0]);
    await window.click(aims[0].screen);
    await window.saved();
    const { id } = marksOf(volume).at(-1);
    equal(live, sizeWords(measured(volume, id).area_mm2, 'mm²'), 'the live size');
    const [photo] = (await window.ask('/volume')).photos.filter(({ file }) => file === FRONT);
    const served = (await window.ask(`/photo/${photo.id}`)).marks.find((mark) => mark.id === id);
    equal(served.measure, measured(volume, id), 'the object that the page is served');
  });
});

test('a stroke is in the sidecar within a second', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    await window.tool('Point');
    const took = [];
    for (const [i, { screen }] of (await window.large.aim([0, 1, 2, 3, 4].map((n) => [1400 + 150 * n, 3900]))).entries()) {
      const n = marksOf(volume).length;
      const began = Date.now();
      await window.click(screen);
      await until(`point ${i} in the sidecar`, () => marksOf(volume).length > n);
      took.push(Date.now() - began);
      await window.tool('Point');
    }
    took.sort((a, b) => a - b);
    note(`in the sidecar after ${took.join(', ')} ms`);
    check(took[2] < 1000, `the median stroke took ${took[2]} ms`);
  });
});

test('neighbours share an edge: the same points, and those between', async () => {
  await atBoard(async ({ volume, window, place }) => {
    await window.ring('Area', place(HEXAGON));
    await window.saved();
    const first = (await until('the first', () => marksOf(volume).at(-1).term === 'undecided' && marksOf(volume).at(-1))).outline.split(' ');
    const beside = (path, by) => path.map(([x, y]) => [x + by, y + by]);
    const far = await window.touchAll([...beside(place([HEXAGON[0]]), 5), ...place([[250, -150], [250, 150]]), ...beside(place([HEXAGON[3]]), -5)]);
    await window.picture('hands-shared');
    await window.button('Close').click(); // and along the neighbour's edge back
    await window.saved();
    const second = (await until('the second', () => marksOf(volume).at(-1).outline.split(' ').length === 6 && marksOf(volume).at(-1))).outline.split(' ');
    equal([second[0], ...second.slice(3)], [first[0], first[3], first[2], first[1]], 'what both share, to the last digit');
    near([1, 2].map((i) => points(second[i])[0]), far.slice(1, 3), 'what only the second has');

    await window.page.keyboard.down('Alt');
    const alone = await window.ring('Area', [...beside(place([HEXAGON[5]]), 5), ...place([[-250, -100], [-250, 50]])]);
    await window.page.keyboard.up('Alt');
    await window.saved();
    near(points(marksOf(volume).at(-1).outline), alone, 'with Alt nothing draws the pen');

    await window.tool('Look');
    await window.carry(alone[0], ...beside(place([HEXAGON[4]]), 6));
    await window.large.section.getByText(/^point moved; it shares a corner with \d+$/).waitFor();
    await window.saved();
    await until('it is shared', () => marksOf(volume).at(-1).outline.startsWith(`${first[4]} `));
  });
});

await run(stopBrowser);
