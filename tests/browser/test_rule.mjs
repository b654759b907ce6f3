// A scale set by hand on a rule: two ends of a length come to its graduations, and a line along them gives
// the scale by their distance.

import { check, equal, near, run, test, until } from './bench.mjs';
import { EDGE_PX, LINE_MM, RULE, SPAN, agree, atScale, ends, figures, fillIn, scaleOf, shift } from './scaling.mjs';
import { truthOf } from './truth.mjs';
import { stopBrowser } from './window.mjs';

/** How many mm a pixel of the true line is. */
function perPx(line) {
  const [[x0, y0], [x1, y1]] = ends(line);
  return LINE_MM / Math.hypot(x1 - x0, y1 - y0);
}

/** A rule's ends as they were written, moved from its rim into its shortest graduations. */
function withinGraduations(truth, { file }) {
  const [{ corners_px: [from, , , across], height_mm: height }] = truthOf(file).laid;
  const [dx, dy] = [0, 1].map((axis) => (1.5 * (across[axis] - from[axis])) / height); // RULE_MIDDLE of fixtures/demo
  return shift(ends(truth), dx, dy);
}

/** Sets an end of a line from near, so that one graduation is told from the next. */
async function setFromNear(window, place) {
  await window.zoom(place, 1.5);
  await window.touchAll([place]);
  await window.button('Whole').click();
}

test('the two ends of a length on a rule come to its graduations; from too far they stay, and it is said', async () => {
  await atScale(SPAN, async (all) => {
    const { volume, window, photo, truth } = all;
    window.expect(/422/);
    await window.slip.getByRole('radio', { name: 'a length' }).check();
    const graduations = withinGraduations(truth, photo);
    await window.touchAll(graduations);
    await window.large.section.getByText('two edges cross the line near its end').waitFor();
    await window.button('Give up').click();
    for (const [i, [x, y]] of graduations.entries()) await setFromNear(window, [x + (i ? -3 : 2), y]);
    await window.button('Edge found').waitFor();
    await window.picture('scale-span');
    equal(await window.axe(), [], 'axe-core, ends found');
    await fillIn(window, { length: String(LINE_MM) });
    await figures(window);
    await window.button('Set this scale').click();
    await until('the scale', () => scaleOf(volume, photo).span);
    const { span } = scaleOf(volume, photo);
    near(ends(span), graduations, 'saved', EDGE_PX);
    equal(span.length, String(LINE_MM), 'length');
    const { method, mm_per_px: scale } = await agree(all);
    equal(method, 'span');
    check(Math.abs(scale / perPx(truth) - 1) < 1e-3, `${scale} mm/px, and truly ${perPx(truth)}`);
  });
});

test('a line along a rule\'s graduations gives the scale by their distance', async () => {
  await atScale(RULE, async (all) => {
    const { volume, window, photo, truth } = all;
    await window.slip.getByRole('radio', { name: 'a rule' }).check();
    const set = await window.touchAll(ends(truth).map(([x, y], i) => [x + (i ? -30 : 40), y]));
    await fillIn(window, { apart: '1' });
    await figures(window);
    await window.picture('scale-ticks');
    equal(await window.axe(), [], 'axe-core, a line along a rule');
    await window.button('Set this scale').click();
    await until('the scale', () => scaleOf(volume, photo).ticks);
    near(ends(scaleOf(volume, photo).ticks), set, 'saved');
    const { method, mm_per_px: scale } = await agree(all);
    equal(method, 'ticks');
    check(Math.abs(scale / perPx(truth) - 1) < 1e-3, `${scale} mm/px, and truly ${perPx(truth)}`);
  });
});

await run(stopBrowser);
