// Following a colour edge: what a touch proposes, what a drag makes of it, what is kept; and that a
// newer touch waits for no older one. The demo's generator tells where the edges truly are.

import { FRONT, check, equal, note, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { points, readSidecar } from './sidecar.mjs';
import { middleOf, overlap } from './truth.mjs';
import { stopBrowser } from './window.mjs';

const NAME = 'front board, before treatment';
const ENOUGH = 0.9; // intersection over union
const STEP = 10; // pixels of the screen for one step of likeness
const FIRST = 8; // likeness of a touch without a drag, CIEDE2000
const [LOSS, ABRASION] = ['1', '5']; // clean ones, and the second has a hole: tests/command/test_trace.py

const marksOf = (volume) => readSidecar(volume.sidecar(FRONT)).marks ?? [];
const ringsOf = ({ outline, holes = [] }) => [outline, ...holes].map(points);

/** Outlines as they were painted, which the page does not get to see: its photograph has no mark. */
let painted;
const GIVEN_UP = /\/trace net::ERR_ABORTED/; // a question that a newer one took the place of
function prepare(volume) {
  painted = Object.fromEntries(marksOf(volume).filter(({ outline }) => outline).map((mark) => [mark.id, ringsOf(mark)]));
  volume.unmark(FRONT);
}

const DASH = '9 6'; // of what is proposed; hatch of undecided marks is dashed otherwise

/** What is proposed on the photograph: an outline and its holes, by the paths' own text. */
async function dashed(window) {
  await window.frames(); // what was proposed last is drawn
  const paths = window.large.section.locator(`svg.ink path[stroke-dasharray="${DASH}"]`);
  return paths.evaluateAll((all) => all.map((path) => path.getAttribute('d')));
}

const proposed = (window, unlike = null, patience = undefined) => until('another proposal', async () => {
  const [outline] = await dashed(window);
  return outline && outline !== unlike ? outline : null;
}, patience);

const says = (window, words) => window.large.section.getByText(words).waitFor();

/** Presses well inside a mark, drags until the likeness is `to`, and lets go; gives the place pressed. */
async function touchInside(window, rings, to = FIRST) {
  const [{ screen: [x, y] }] = await window.large.aim([middleOf(rings)]);
  await window.drag([x, y], [x + STEP * (to - FIRST) + (to > FIRST ? 1 : 0), y]);
  return [x, y];
}

const GIVES_UP_MS = 19_000; // less than the page waits for any answer

/** Holds back the first question about an edge: {asked, release}. */
async function holdFirst(window) {
  const held = { asked: false };
  const freed = new Promise((resolve) => { held.release = resolve; });
  await window.page.route('**/trace', async (route) => {
    const isFirst = !held.asked;
    held.asked = true;
    if (isFirst) await freed;
    await route.continue().catch(() => {}); // the page may have given it up
  });
  return held;
}

test('a touch inside a loss proposes its outline, a drag makes it another, and what is kept is the loss', async () => {
  await atDesk(async ({ volume, window }) => {
    window.expect(GIVEN_UP);
    await window.open(NAME);
    await window.zoom(middleOf(painted[LOSS]), 0.25);
    await window.tool('Edge');
    await touchInside(window, painted[LOSS]);
    await says(window, /likeness 8; drag for more or less, touch inside to keep it/);
    const first = await proposed(window);
    check(first.length > 40, 'an outline');
    equal(await window.axe(), [], 'axe-core, an outline proposed');
    await window.picture('edge-proposed');
    await window.keys('Escape');
    await until('nothing dashed', async () => (await dashed(window)).length === 0);
    await touchInside(window, painted[LOSS], 12);
    await says(window, /likeness 12; drag for more or less, touch inside to keep it/);
    await proposed(window, first);
    await window.button('Likeness \u2212').click();
    await says(window, /likeness 11; drag for more or less, touch inside to keep it/);
    await window.button('Give up').click();
    await until('nothing dashed', async () => (await dashed(window)).length === 0);
    equal(marksOf(volume), [], 'nothing was saved');
    const at = await touchInside(window, painted[LOSS]);
    await proposed(window);
    const beside = [at[0] + 150, at[1]];
    await window.drag(beside, [beside[0] + 10 * STEP + 1, beside[1]]); // away from the touch, wherever it begins
    await says(window, /likeness 18; drag for more or less, touch inside to keep it/);
    const wide = await proposed(window, first);
    await window.drag(at, [at[0] + 4 * STEP + 1, at[1]]); // inside as well, and that keeps nothing
    await says(window, /likeness 22; /);
    await window.drag(beside, [beside[0] - 4 * STEP - 1, beside[1]]); // back
    await says(window, /likeness 18; /);
    equal(await proposed(window, first), wide, 'the outline at the same likeness');
    await window.sized();
    equal(marksOf(volume), [], 'nothing was kept');
    const size = /\S+ ± \S+ mm²/.exec(await until('a size', async () => {
      const words = await window.headWords();
      return words.includes('±') && words;
    }))[0];
    await window.click(at); // inside what is proposed: that takes it
    await window.saved();
    const [mark] = await until('a mark', () => (marksOf(volume).length > 0 ? marksOf(volume) : null));
    const share = overlap(ringsOf(mark), painted[LOSS]);
    note(`intersection over union with what was painted: ${share.toFixed(4)}`);
    check(share >= ENOUGH, `only ${share}`);
    await until('its size as it was proposed', async () => (await window.headWords()).includes(size));
    await window.button('Undo').click();
    await until('no mark', () => marksOf(volume).length === 0);
  }, { prepare });
});

test('where there is no edge it is said and nothing is drawn; dragged further there is one, with its hole', async () => {
  await atDesk(async ({ volume, window }) => {
    window.expect(/422/, GIVEN_UP);
    await window.open(NAME);
    await window.zoom(middleOf(painted[ABRASION]), 0.25);
    await window.keys('e');
    const at = await touchInside(window, painted[ABRASION]);
    await says(window, 'there is no edge at this likeness');
    equal(await dashed(window), [], 'nothing is proposed');
    check(!await window.button('Keep it').isVisible(), 'nothing to take');
    await window.picture('edge-none');
    equal(await window.axe(), [], 'axe-core, no edge');
    const beside = [at[0] + 60, at[1]]; // of the same touch, wherever the drag begins
    await window.drag(beside, [beside[0] + STEP * (20 - FIRST) + 1, beside[1]]);
    await proposed(window);
    await says(window, /likeness 20; drag for more or less, touch inside to keep it/);
    await window.keys('Enter');
    const [mark] = await until('a mark', () => (marksOf(volume).length > 0 ? marksOf(volume) : null));
    const share = overlap(ringsOf(mark), painted[ABRASION]);
    note(`intersection over union with what was painted: ${share.toFixed(4)}`);
    check(share >= ENOUGH, `only ${share}`);
    equal(mark.holes?.length, 1, 'holes');
  }, { prepare });
});

test('what runs far is kept only after a second word, and what is too ragged not at all', async () => {
  await atDesk(async ({ volume, window }) => {
    window.expect(/422/, GIVEN_UP);
    await window.open(NAME);
    await window.zoom(middleOf(painted[LOSS]), 0.25);
    await window.keys('e');
    await window.page.route('**/trace', (route) => route.fulfill({ json: { says: 'as told', simplified_px: 1,
      outline: '0,3000 400,3000 400,3400 0,3400', holes: [] } }));
    await touchInside(window, painted[LOSS]);
    await says(window, /is this the damage/);
    await window.keys('Enter');
    await says(window, /Not kept: .*Once more keeps it/);
    equal(marksOf(volume), [], 'nothing was kept');
    await window.keys('Enter');
    await until('a mark', () => marksOf(volume).length === 1);
    await window.page.unroute('**/trace');
    const ragged = Array.from({ length: 2400 }, (_, i) => `${1000 + i},${i % 2 ? 3000 : 3010}`);
    await window.page.route('**/trace', (route) => route.fulfill({ json: { says: 'as told', simplified_px: 1,
      outline: `${ragged.join(' ')} 3400,3600 1000,3600`, holes: [] } }));
    await window.keys('e');
    await touchInside(window, painted[LOSS]);
    await says(window, /too ragged to keep, 2402 points/);
    check(!await window.button('Keep it').isVisible(), 'nothing to take');
    await window.keys('Enter');
    await says(window, /^Not kept: /);
    equal(marksOf(volume).length, 1, 'nor by Enter');
    await window.keys('Escape');
  }, { prepare });
});

test('a newer touch waits for no older one, and a tool that is put away hears nothing more', async () => {
  await atDesk(async ({ volume, window }) => {
    window.expect(GIVEN_UP);
    await window.open(NAME);
    await window.zoom(middleOf(painted[LOSS]), 0.25);
    await window.tool('Edge');
    const first = await holdFirst(window);
    const [{ screen: elsewhere }] = await window.large.aim([[1500, 1400]]);
    await window.click(elsewhere);
    await until('the first question', () => first.asked);
    const started = Date.now();
    await touchInside(window, painted[LOSS], 18);
    await proposed(window, null, GIVES_UP_MS); // or it has waited
    note(`an outline ${Date.now() - started} ms after the newer touch`);
    first.release();
    await window.button('Keep it').click();
    const [mark] = await until('a mark', () => (marksOf(volume).length > 0 ? marksOf(volume) : null));
    check(overlap(ringsOf(mark), painted[LOSS]) >= ENOUGH, 'it is the loss');
    await window.page.unroute('**/trace');
    const second = await holdFirst(window);
    await window.tool('Edge');
    await window.click(elsewhere);
    await until('a question', () => second.asked);
    const givenUp = window.page.waitForEvent('requestfailed', (request) => request.url().endsWith('/trace'));
    await window.tool('Look');
    await givenUp;
    second.release();
    await window.tool('Edge');
    await says(window, 'Touch inside the damage');
    equal(await dashed(window), [], 'nothing is proposed');
  }, { prepare });
});

await run(stopBrowser);
