// What goes wrong while one draws, and how it is mended: points are moved before the path is ended, what was
// put away comes back, a corner that is shared is freed. Freehand: test_freehand.mjs.

import { FRONT, FRONT_NAME, check, equal, near, run, test, until } from './bench.mjs';
import { atBoard, atDesk } from './desk.mjs';
import { marksOf, points } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

const BOW = [[-90, -80], [90, 80], [90, -80], [-90, 80]];
const SQUARE = [[-90, -90], [90, -90], [90, 90], [-90, 90]];
const CROSSES = 'The outline crosses itself where the red ring is: move a point there, or take the last one back';
const OUTSIDE = 'The hole lies outside its area where the red ring is: move a point there, or take the last one back';
const AWAY = 'put away; Undo brings it back';

const says = (window, words) => window.large.section.getByText(words);
const noFault = (window) => until('no red ring', async () => (await window.faults.count()) === 0);
const saved = async (volume, n) => until('a mark more', () => marksOf(volume).length === n + 1 && marksOf(volume)[n]);

test('a point that is set already is dragged until the outline no longer crosses itself', async () => {
  await atBoard(async ({ volume, window, place }) => {
    const n = marksOf(volume).length;
    await window.tool('Area');
    const bow = await window.touchAll(place(BOW));
    await window.mouse([[300, 300]]);
    await window.button('Close').click();
    await says(window, CROSSES).waitFor();
    near([await window.faultAt()], place([[0, 0]]), 'the red ring', 1.5);
    await window.picture('pen-bow');
    equal(await window.axe(), [], 'axe-core, an outline that crosses itself');
    check(!(await window.slip.innerText()).includes('crosses'), 'it is said once');
    const moved = await window.carry(bow[1], place([[0, -150]])[0]);
    await noFault(window);
    await window.keys('Control+z');
    await window.faultAt();
    await window.carry(bow[1], place([[0, -150]])[0]);
    await noFault(window);
    await window.touchAll([bow[0]]);
    await window.saved();
    near(points((await saved(volume, n)).outline), [bow[0], moved, bow[2], bow[3]], 'as it was mended');
  });
});

test('what was put away comes back with one Undo; Enter ends what is begun', async () => {
  await atBoard(async ({ volume, window, place }) => {
    const n = marksOf(volume).length;
    await window.tool('Area');
    const corners = await window.touchAll(place(SQUARE));
    await window.keys('Escape');
    await says(window, AWAY).waitFor();
    await window.button('Bring it back').waitFor();
    await window.picture('pen-away');
    equal(await window.axe(), [], 'axe-core, put away');
    await window.keys('u');
    await window.button('Close').waitFor();
    await window.keys('Enter');
    await window.saved();
    near(points((await saved(volume, n)).outline), corners, 'brought back and closed with Enter');
    await window.tool('Line');
    const line = await window.touchAll(place([[-150, -60], [-150, 60]]));
    await window.keys('Enter');
    await window.saved();
    near(points((await saved(volume, n + 1)).line), line, 'a line ended with Enter');
    await window.touchAll(place([[170, 0]]));
    await window.keys('Enter');
    await says(window, 'A line needs two points').waitFor();
    await window.keys('Escape', 'u', 'u'); // the point comes back, and is taken back
    await until('no point', async () => !(await window.button('Take back').isVisible()));
  });
});

test('a hole outside its area is shown where it leaves it, and moved in', async () => {
  await atBoard(async ({ volume, window, place }) => {
    const n = marksOf(volume).length;
    await window.ring('Area', place(SQUARE));
    await window.button('Hole').click();
    const hole = await window.touchAll(place([[-30, -30], [150, 0], [-30, 40]]));
    near([await window.faultAt()], [hole[1]], 'the red ring', 1.5);
    await says(window, OUTSIDE).waitFor();
    await window.picture('pen-hole');
    const moved = await window.carry(hole[1], place([[50, 0]])[0]);
    await noFault(window);
    await window.touchAll([hole[0]]);
    await window.saved();
    await until('a hole', () => marksOf(volume)[n].holes);
    near(points(marksOf(volume)[n].holes[0]), [hole[0], moved, hole[2]], 'the hole');
  });
});

test('a corner that is shared is told, and Take back frees it', async () => {
  await atBoard(async ({ volume, window, place }) => {
    const n = marksOf(volume).length;
    await window.ring('Area', place(SQUARE));
    await window.saved();
    const { id, outline } = await saved(volume, n);
    await window.tool('Area');
    const [far, beside, other] = await window.large.aim(place([[98, -90], [200, -150], [200, 50]]));
    await window.mouse([far.screen]);
    await until('a ring before the press', async () => (await window.large.section.locator('.ring-snap').count()) > 0);
    await window.click(far.screen);
    await says(window, `It shares a corner with ${id}; Take back frees it`).waitFor();
    await window.picture('pen-shared');
    await window.button('Take back').click();
    for (const { screen } of [beside, other]) await window.click(screen);
    await window.keys('Enter');
    await window.saved();
    const [first] = points((await saved(volume, n + 1)).outline);
    near([first], [far.photo], 'the corner where the pen was');
    check(!outline.includes(first.join(',')), 'it is shared no longer');
  });
});

/** How dark the magnifier is where it rings a point that draws the pen. */
const ringIsDark = (window) => window.page.locator('canvas.lens').evaluate((canvas) => {
  const [r, g, b] = canvas.getContext('2d').getImageData(132 / 2 + 30, 132 / 2, 1, 1).data; // on its right
  return r + g + b < 130;
});

test('what draws a finger is ringed in the magnifier before the finger is lifted', async () => {
  await atBoard(async ({ window, place }) => {
    await window.ring('Area', place(SQUARE));
    await window.saved();
    await window.tool('Area');
    const [beside, far] = await window.large.aim(place([[100, -94], [170, -150]]));
    await window.touch('touchStart', [beside.screen]);
    await until('a ring', () => ringIsDark(window));
    await window.picture('pen-lens');
    await window.touch('touchMove', [far.screen]);
    await until('no ring', async () => !(await ringIsDark(window)));
    await window.touch('touchEnd', []);
  }, { hasTouch: true });
});

test('by keyboard: k walks from point to point, Enter takes one up and puts it down', async () => {
  await atBoard(async ({ volume, window, place }) => {
    const n = marksOf(volume).length;
    await window.tool('Area');
    const bow = await window.touchAll(place(BOW));
    await window.keys('c');
    await window.faultAt();
    await window.keys('k', 'k', 'Enter', ...Array(8).fill('Shift+ArrowUp'), ...Array(4).fill('Shift+ArrowLeft'));
    await noFault(window);
    await window.keys('Enter', 'c');
    await window.saved();
    const drawn = points((await saved(volume, n)).outline);
    const { scale } = await window.large.lay();
    near(drawn, [bow[0], [bow[1][0] - 80 / scale.x, bow[1][1] - 160 / scale.y], bow[2], bow[3]], 'as it was mended');
  });
});

const BROKEN = [[1000, 3000], [2000, 4000], [2000, 3000], [1000, 4000]];

test('an outline of the text that crosses itself is shown where it does, and mended by dragging', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    await window.choose(/^3/);
    near([await window.faultAt()], [[1500, 3500]], 'the red ring', 1 / (await window.large.lay()).scale.x);
    await window.slip.getByText('wrong: the outline crosses or touches itself', { exact: true }).waitFor();
    await window.face('Photograph');
    check(!(await window.slip.innerText()).includes('1500'), 'no pixels are named');
    await window.picture('pen-broken');
    equal(await window.axe(), [], 'axe-core, an outline that is wrong');
    const to = await window.carry(BROKEN[1], [1500, 2500]);
    await window.saved();
    await noFault(window);
    near(points(marksOf(volume)[2].outline), [BROKEN[0], to, BROKEN[2], BROKEN[3]], 'as it was mended');
  }, { prepare: (volume) => {
    const { outline } = marksOf(volume)[2];
    volume.write(`${FRONT}.yaml`, volume.sidecar(FRONT).replace(outline, BROKEN.join(' ')));
  } });
});

await run(stopBrowser);
