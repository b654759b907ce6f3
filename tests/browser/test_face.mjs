// Outlines of the photograph's own: the whole face, of which shares are taken, and a true grey. Drawn,
// moved and taken away from the slip; the shares shown are those that `measure` prints.

import { FRONT, check, equal, measure, near, note, run, sizeWords, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { points, readSidecar } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

const NAME = 'front board, before treatment';
const FACE = [[640, 1450], [3430, 1460], [3530, 5640], [620, 5480]]; // away from marks, for those draw the pen to them
const GREY = [[1665, 3750], [1735, 3752], [1737, 3845], [1663, 3842]]; // anywhere on the cloth: it is the place that counts
const BOTH = { face: 'the whole face', grey: 'a true grey' };

const wordsOf = (volume) => readSidecar(volume.sidecar(FRONT));
const rowOf = (window, name) => window.slip.getByRole('group', { name, exact: true });
const act = (window, name, words) => rowOf(window, name).getByRole('button', { name: words, exact: true });

/** The demo has its faces outlined. */
function bare(volume) { volume.write(`${FRONT}.yaml`, volume.sidecar(FRONT).replace(/^surface:.*\n/m, '')); }

/** On the slip's face that has them; axe-core and a rule see it. */
async function toRows(window, what) {
  await window.face('Photograph');
  const buttons = rowOf(window, BOTH.grey).getByRole('button').or(rowOf(window, BOTH.face).getByRole('button'));
  await buttons.first().waitFor();
  const small = await buttons.evaluateAll((nodes) => nodes.map((node) => [node.innerText, node.offsetWidth, node.offsetHeight]) // all at once: they may be laid anew
    .filter(([, ...sides]) => Math.min(...sides) < 44));
  equal(small, [], 'targets under 44 px');
  equal(await window.axe(), [], `axe-core, ${what}`);
}

/** Millimetres of the measured surface, by the homography that `measure --json` prints. */
function areaOf(ring, m) {
  const mm = ring.map(([x, y]) => [0, 3].map((i) => (m[i] * x + m[i + 1] * y + m[i + 2]) / (m[6] * x + m[7] * y + m[8])));
  return Math.abs(mm.reduce((sum, [x, y], i) => {
    const [u, v] = mm[(i + 1) % mm.length];
    return sum + x * v - u * y;
  }, 0)) / 2;
}

const measuredPhoto = (volume) => measure(volume.path).photos.find(({ file }) => file === FRONT);

test('both are saved where they were drawn, and a reload shows them', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(NAME);
    await toRows(window, 'nothing outlined');
    await act(window, BOTH.face, 'Outline it').click();
    const face = await window.ring(null, FACE);
    await until('the face in the sidecar', () => wordsOf(volume).surface);
    near(points(wordsOf(volume).surface), face, 'the face');
    await window.zoom([1700, 3800], 1.5);
    await act(window, BOTH.grey, 'Outline it').click();
    await window.touchAll(GREY.slice(0, 2));
    equal(await window.axe(), [], 'axe-core, drawing');
    await window.keys('Escape');
    await window.large.section.getByText('put away; Undo brings it back').waitFor();
    equal(wordsOf(volume).neutral, undefined, 'what was given up');
    const grey = await window.ring(null, GREY);
    await until('the grey in the sidecar', () => wordsOf(volume).neutral);
    near(points(wordsOf(volume).neutral), grey, 'the grey');
    await window.saved();
    await toRows(window, 'both outlined');
    await window.picture('face');
    const told = await rowOf(window, BOTH.face).innerText();
    await window.reload();
    await window.open(NAME);
    await toRows(window, 'both outlined, reloaded');
    await until(`the row after a reload: ${told}`, async () => await rowOf(window, BOTH.face).innerText() === told);
  }, { prepare: bare });
});

test('the next outline is begun before the browser has kept the last', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(NAME);
    await window.face('Photograph');
    await act(window, BOTH.face, 'Outline it').click();
    await window.ring(null, FACE);
    await act(window, BOTH.grey, 'Outline it').click();
    equal(wordsOf(volume).surface, undefined, 'the last is not even saved');
    await until('the face in the sidecar', () => wordsOf(volume).surface);
    await window.zoom([1700, 3800], 1.5);
    const grey = await window.ring(null, GREY);
    await until('the grey in the sidecar', () => wordsOf(volume).neutral);
    near(points(wordsOf(volume).neutral), grey, 'the grey');
  }, { prepare: bare, late: 700 });
});

test('the size of the face and the shares of it are those that are measured', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(NAME);
    await window.choose(/^3\b/);
    check(!(await window.headWords()).includes('%'), 'no share without a face');
    await window.face('Photograph');
    await act(window, BOTH.face, 'Outline it').click();
    await window.ring(null, FACE);
    const told = await until('its size', async () => /([\d ]+) ± ([\d ]+) mm²/.exec(await rowOf(window, BOTH.face).innerText()));
    const photo = measuredPhoto(volume);
    const area = areaOf(points(wordsOf(volume).surface), photo.scale.homography);
    note(`the face: ${told[0]} on the page, ${area} mm² by its corners`);
    check(Math.abs(Number(told[1]) - area) <= 50, 'U has two figures: the size is told to 100 mm²');
    await window.choose(/^3\b/);
    const { area_mm2: part, share_percent: share } = photo.marks.find(({ id }) => id === '3');
    check(Math.abs(share.value / ((100 * part.value) / area) - 1) < 1e-9, `${share.value} %, but ${part.value} of ${area} mm²`);
    const words = sizeWords(share, '% of the face');
    await until(`${words} on the slip`, async () => (await window.headWords()).includes(words));
    await window.picture('face-share');
    equal(await window.axe(), [], 'axe-core, a share');
  }, { prepare: bare });
});

test('undo and redo, also after a reload; take away; points are moved like those of a mark', async () => {
  await atDesk(async ({ volume, window }) => {
    window.expect(/request failed: .*net::ERR_ABORTED/); // a reload cuts off what is asked just then
    const begun = volume.sidecar(FRONT);
    await window.open(NAME);
    await window.face('Photograph');
    await act(window, BOTH.face, 'Outline it').click();
    await window.ring(null, FACE);
    await until('the face', () => wordsOf(volume).surface);
    const drawn = volume.sidecar(FRONT);
    await window.reload();
    await window.open(NAME);
    await window.button('Undo').click();
    await until('the sidecar as it was', () => volume.sidecar(FRONT) === begun);
    await window.button('Redo').click();
    await until('the face again', () => volume.sidecar(FRONT) === drawn);
    await window.face('Photograph');
    await act(window, BOTH.face, 'Move its points').click();
    const [corner, aside] = await window.large.aim([FACE[1], [3300, 1300]]);
    await window.drag(corner.screen, aside.screen);
    await until('a corner moved', () => volume.sidecar(FRONT) !== drawn);
    near([points(wordsOf(volume).surface)[1]], [aside.photo], 'the corner');
    await window.picture('face-points');
    equal(await window.axe(), [], 'axe-core, its points');
    await act(window, BOTH.face, 'Done').click();
    await act(window, BOTH.face, 'Move its points').click();
    await window.choose(/^3\b/); // one thing at a time has its points to be moved
    await window.button('Hole').waitFor();
    await window.face('Photograph');
    await act(window, BOTH.face, 'Take away').click();
    await until('no face', () => volume.sidecar(FRONT) === begun);
    await act(window, BOTH.face, 'Outline it').waitFor();
  }, { prepare: bare });
});

test('by keyboard alone it is drawn, and a corner moved', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(NAME);
    const { scale } = await window.large.lay();
    const press = async (words) => {
      await window.keys('g');
      const isThere = () => act(window, BOTH.face, words).evaluate((node) => node === document.activeElement);
      for (let i = 0; i < 60 && !(await isThere()); i += 1) await window.keys('Tab');
      await window.keys('Enter');
    };
    await press('Outline it');
    await window.keys('Enter'); // the cross hairs come to the middle
    const walk = async (key, n) => { for (let i = 0; i < n; i += 1) await window.keys(`Shift+${key}`); };
    for (const [key, n] of [['ArrowLeft', 2], ['ArrowDown', 3], ['ArrowRight', 3]]) {
      await window.keys('Enter');
      await walk(key, n);
    }
    await window.keys('Enter', 'c');
    const path = points(await until('the face', () => wordsOf(volume).surface));
    const step = 20 / scale.x; // Shift walks in steps of 20 px of the screen
    const [x, y] = path[0];
    near(path, [[x, y], [x - 2 * step, y], [x - 2 * step, y + 3 * step], [x + step, y + 3 * step]], 'by keys');
    await press('Move its points');
    await window.keys('k', 'k', 'Enter', 'Shift+ArrowUp', 'Enter');
    await until('the second corner moved', () => points(wordsOf(volume).surface)[1][1] !== y);
    near(points(wordsOf(volume).surface), path.map(([u, v], i) => [u, i === 1 ? v - step : v]), 'moved by keys');
  }, { prepare: bare });
});

test('one that crosses itself, leaves the picture or has no inside is refused in words', async () => {
  await atDesk(async ({ volume, window }) => {
    window.expect(/422/);
    const begun = volume.sidecar(FRONT);
    await window.open(NAME);
    await window.face('Photograph');
    await act(window, BOTH.face, 'Outline it').click();
    await window.ring(null, [FACE[0], FACE[2], FACE[1], FACE[3]]);
    await window.large.section.getByText('The outline crosses itself').waitFor();
    await window.keys('Escape');
    const row = await window.touchAll([[1300, 3700], [1900, 3700], [2500, 3700]]); // the page knows no fault in it
    await window.keys('c');
    await window.page.getByRole('alert').filter({ hasText: 'outline' }).waitFor();
    equal(volume.sidecar(FRONT), begun, 'the sidecar');
    equal(await window.slip.getByText('Not saved:').count(), 0, 'what was drawn is mended on the photograph');
    equal(await window.axe(), [], 'axe-core, refused');
    await window.picture('face-refused');
    const { left, top, scale } = await window.large.lay();
    await window.click([Math.round(left - 40), Math.round(top + 2000 * scale.y)]); // it lies there still, and ends at the rim of the picture
    await window.keys('c');
    const path = points(await until('the face', () => wordsOf(volume).surface));
    near(path.slice(0, 3), row, 'what was laid back');
    equal(path[3][0], 0, 'the rim');
  }, { prepare: bare });
});

await run(stopBrowser);
