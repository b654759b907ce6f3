// What is done with a mark by mouse: it is named as it is drawn, its vertices are moved, added and taken
// away, it is copied, moved and deleted. What is saved is compared with where the pen was.

import { FRONT, FRONT_NAME, check, equal, near, run, test, until } from './bench.mjs';
import { atBoard } from './desk.mjs';
import { marksOf, points } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

const HEXAGON = [[0, -120], [110, -60], [115, 60], [5, 120], [-110, 65], [-105, -55]]; // on the screen
const INNER = [[-30, -30], [40, -20], [10, 40]];
const BENT = [[-150, -110], [-150, -30], [-140, 40], [-155, 110]];

const outlineOf = (mark) => points(mark.outline);
const middle = ([ax, ay], [bx, by]) => [(ax + bx) / 2, (ay + by) / 2];
const put = (path, i, at) => path.map((p, k) => (k === i ? at : p));

test('every stroke is named as it is drawn, and a reload shows all of them', async () => {
  await atBoard(async ({ volume, window, place }) => {
    const n = marksOf(volume).length;
    const outline = await window.ring('Area', place(HEXAGON));
    await window.name('lacu', 'loss'); // a synonym
    await window.button('Hole').click();
    const hole = await window.touchAll(place(INNER));
    equal(await window.axe(), [], 'axe-core, drawing a hole');
    await window.picture('hands-hole');
    await window.touchAll([hole[0]]);
    const line = await window.polyline(place(BENT));
    await window.name('cre', 'crease');
    await window.tool('Point');
    const point = await window.touchAll(place([[170, 0]]));
    await window.name('bore', 'bore hole');
    await window.part('cloth side');
    await window.saved();
    await until('their names', () => marksOf(volume).at(-1).part === 'cloth side');
    const drawn = marksOf(volume).slice(n);
    equal(drawn.map(({ term }) => term), ['loss', 'crease', 'bore hole'], 'terms');
    near(outlineOf(drawn[0]), outline, 'area');
    near(points(drawn[0].holes[0]), hole, 'hole');
    near(points(drawn[1].line), line, 'line');
    near(points(drawn[2].point), point, 'point');
    const text = volume.sidecar(FRONT);
    await window.reload();
    await window.open(FRONT_NAME);
    for (const { id, term } of drawn) await window.choose(new RegExp(`^${id} ?.*${term}`));
    equal(volume.sidecar(FRONT), text, 'the sidecar after a reload');
  });
});

test('vertices of an outline, of its hole and of a line are moved, added and taken away', async () => {
  await atBoard(async ({ volume, window, place }) => {
    const n = marksOf(volume).length;
    let outline = await window.ring('Area', place(HEXAGON));
    await window.button('Hole').click();
    let hole = await window.ring(null, place(INNER));
    outline = put(outline, 2, await window.carry(outline[2], place([[150, 90]])[0]));
    const added = await window.carry(middle(outline[4], outline[5]), place([[-160, 10]])[0]);
    outline = [...outline.slice(0, 5), added, ...outline.slice(5)];
    hole = put(hole, 2, await window.carry(hole[2], place([[0, 70]])[0]));
    await window.touchAll([outline[6]]);
    await window.keys('Delete');
    outline = outline.slice(0, 6);
    await window.saved();
    const area = await until('a point less', () => outlineOf(marksOf(volume)[n]).length === 6 && marksOf(volume)[n]);
    near(outlineOf(area), outline, 'outline');
    near(points(area.holes[0]), hole, 'hole');
    await window.picture('hands-vertices');
    const text = volume.sidecar(FRONT);
    await window.carry(outline[0], place([[40, 200]])[0]);
    await window.large.section.getByText('The outline would cross itself there; the point went back.').waitFor();
    await window.saved();
    equal(volume.sidecar(FRONT), text, 'after a point that went back');

    const line = await window.polyline(place(BENT));
    await window.tool('Look');
    const bent = [line[0], await window.carry(middle(line[0], line[1]), place([[-220, -70]])[0]), ...line.slice(1, 3),
      await window.carry(line[3], place([[-200, 130]])[0])];
    await window.touchAll([bent[2]]);
    await window.button('Delete point').click();
    await window.saved();
    await until('a point less', () => points(marksOf(volume).at(-1).line).length === 4);
    near(points(marksOf(volume).at(-1).line), bent.filter((_, i) => i !== 2), 'line');
  });
});

const shifted = (path, [dx, dy]) => path.map(([x, y]) => [x + dx, y + dy]);

test('a mark is copied, moved and deleted, with its hole and its words', async () => {
  await atBoard(async ({ volume, window, place }) => {
    const had = marksOf(volume);
    const outline = await window.ring('Area', place(HEXAGON));
    await window.button('Hole').click();
    const hole = await window.ring(null, place(INNER));
    await window.name('abr', 'abrasion');
    await window.button('Copy mark').click();
    await window.saved();
    const copy = await until('a copy', () => marksOf(volume)[had.length + 1]);
    const by = outlineOf(copy)[0].map((v, axis) => v - outline[0][axis]);
    check(Math.hypot(...by) > 10, `the copy lies ${by} aside`);
    equal(copy.term, 'abrasion', 'its term');
    near(outlineOf(copy), shifted(outline, by), 'the copy');
    near(points(copy.holes[0]), shifted(hole, by), 'its hole');

    await window.button('Move').click();
    const [from, to] = await window.large.aim(place([[60, 80], [140, 190]]));
    await window.drag(from.screen, to.screen);
    await window.saved();
    const went = by.map((v, axis) => v + to.photo[axis] - from.photo[axis]);
    const moved = await until('it moved', () => marksOf(volume)[had.length + 1].outline !== copy.outline && marksOf(volume)[had.length + 1]);
    near(outlineOf(moved), shifted(outline, went), 'moved');
    near(points(moved.holes[0]), shifted(hole, went), 'its hole moved');
    await window.picture('hands-copy');

    await window.button('Delete mark').click();
    await window.saved();
    await until('the copy is gone', () => marksOf(volume).length === had.length + 1);
    equal(marksOf(volume).slice(0, -1), had, 'the other marks');
    near(outlineOf(marksOf(volume).at(-1)), outline, 'what was copied');
  });
});

await run(stopBrowser);
