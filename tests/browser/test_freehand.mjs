// Freehand: the pen's own trail is saved at once, then thinned to what the eye sees, and the page says how
// near the outline stays to the hand. A stroke that crosses itself is kept, to be mended.

import { FRONT, FRONT_NAME, around, check, equal, measure, near, note, run, test, until } from './bench.mjs';
import { atBoard, atDesk } from './desk.mjs';
import { marksOf, points } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

/** A hand's stroke round a place: not quite a circle, and not quite closed. */
const STROKE = Array.from({ length: 90 }, (_, i) => {
  const [angle, r] = [(i / 92) * 2 * Math.PI, 90 + 12 * Math.sin(i / 5)];
  return [r * Math.cos(angle), r * Math.sin(angle)];
});

/** How far a point is from a path. */
function farFrom([x, y], path) {
  return Math.min(...path.slice(1).map(([bx, by], i) => {
    const [ax, ay] = path[i];
    const square = (bx - ax) ** 2 + (by - ay) ** 2;
    const t = square > 0 ? Math.min(1, Math.max(0, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / square)) : 0;
    return Math.hypot(ax + t * (bx - ax) - x, ay + t * (by - ay) - y);
  }));
}

for (const { tool, key, closed } of [{ tool: 'Area', key: 'outline', closed: true }, { tool: 'Line', key: 'line', closed: false }])
  test(`freehand, ${tool}: saved as it was drawn, then thinned to the tolerance that is told`, async () => {
    await atBoard(async ({ volume, window, place }) => {
      const release = await window.hold('**/simplify');
      await window.tool(tool);
      await window.button('Freehand').click();
      const n = marksOf(volume).length;
      const stroke = await window.trail(place(STROKE));
      const raw = points((await until('the stroke as it was drawn', () => marksOf(volume)[n]))[key]);
      near(raw, stroke, 'as drawn');
      release();
      const says = window.large.section.getByText(/^\d+ points, within [\d.]+ mm of your hand$/);
      await says.waitFor();
      const [told, within] = (await says.innerText()).match(/[\d.]+/g).map(Number);
      const tolerance = within / measure(volume.path).photos.find(({ file }) => file === FRONT).scale.mm_per_px; // px of the photograph
      equal(await window.axe(), [], 'axe-core, thinned');
      await window.picture(`freehand-${tool.toLowerCase()}`);
      await window.saved();
      const formatted = await until('the stroke thinned', () => {
        const text = marksOf(volume)[n][key];
        return points(text).length < stroke.length && text;
      });
      const thin = points(formatted);
      equal(thin.length, told, 'as many points as it says');
      check(thin.length < stroke.length / 2, `${stroke.length} points became ${thin.length}`);
      const off = Math.max(...stroke.map((p) => farFrom(p, closed ? [...thin, thin[0]] : thin)));
      note(`${stroke.length} points became ${thin.length}, ${off.toFixed(2)} px off where ${within} mm, ${tolerance.toFixed(2)} px, are told`);
      check(off <= tolerance, `${off} px off, but ${tolerance} px told`);
      const { scale } = await window.large.lay();
      check(tolerance * scale.x < 2, `${tolerance} px are ${tolerance * scale.x} of the screen`); // hardly an eye sees less
      await window.button('Undo').click();
      await until('all of it is taken back with one Undo', () => marksOf(volume).length === n);
      await window.button('Redo').click();
      await until('and done again', () => marksOf(volume)[n]?.[key] === formatted);
    });
  });

const EIGHT = Array.from({ length: 100 }, (_, i) => { // begun in its right half, and not quite closed
  const angle = 0.3 + (i / 102) * 2 * Math.PI;
  return [150 * Math.sin(angle), 90 * Math.sin(2 * angle)];
});
const OVERSHOT = Array.from({ length: 98 }, (_, i) => { // a ring whose end goes out across its beginning
  const [angle, r] = [(i / 92) * 2 * Math.PI, i < 92 ? 100 - i / 16 : 94 + 4 * (i - 92)];
  return [r * Math.cos(angle), r * Math.sin(angle)];
});
const CROSSES = 'the outline crosses itself where the red ring is: move a point there, or take the last one back';

const says = (window, words) => window.large.section.getByText(words);

test('a freehand stroke that crosses itself is kept whole, to be mended, and nothing of it is saved', async () => {
  await atBoard(async ({ volume, window, place }) => {
    const before = volume.sidecar(FRONT);
    await window.tool('Area');
    await window.button('Freehand').click();
    await window.trail(place(EIGHT));
    await says(window, `Not saved: ${CROSSES}`).waitFor();
    near([await window.faultAt()], place([[0, 0]]), 'the red ring', 6);
    await window.picture('pen-eight');
    equal(await window.axe(), [], 'axe-core, a stroke that crosses itself');
    equal(volume.sidecar(FRONT), before, 'the sidecar');
    const [right, left] = await window.large.aim(place([[110, 60], [-110, 60]]));
    const drawn = await window.large.section.locator('svg.ink path').evaluateAll((all) => all.map((path) => path.getBoundingClientRect())
      .filter(({ width }) => width > 200).map((box) => [box.left, box.right]));
    check(drawn.some(([from, to]) => from < left.screen[0] && to > right.screen[0]), `both halves are drawn: ${JSON.stringify(drawn)}`);
    await window.reload();
    await window.open(FRONT_NAME);
    await window.tool('Area');
    await says(window, CROSSES).waitFor();
  });
});

test('where the end of a freehand stroke goes over its beginning it is trimmed, and that is said', async () => {
  await atBoard(async ({ volume, window, place }) => {
    const n = marksOf(volume).length;
    await window.tool('Area');
    await window.button('Freehand').click();
    await window.trail(place(OVERSHOT));
    await says(window, /^\d+ points, within [\d.]+ mm of your hand; where its ends overlapped they are trimmed$/).waitFor();
    await window.saved();
    const drawn = points((await until('a mark', () => marksOf(volume)[n])).outline);
    const [[x0, y0], [x1]] = place([[0, 0], [1, 0]]);
    const far = drawn.map(([x, y]) => Math.hypot(x - x0, y - y0) / (x1 - x0));
    check(Math.min(...far) > 93 && Math.max(...far) < 101, `points are ${far} px from the middle of a ring of 100`);
    await window.button('Undo').click();
    await until('the stroke is gone with one Undo', () => marksOf(volume).length === n);
  });
});

const NOTICE_MS = 5_500; // a little less than a notice stands (aids.js)

/** Watches what is said under the photograph; gives what tells how long after these words something else was, in ms; null: nothing. */
async function watchSays(window, words) {
  await window.page.evaluate((wanted) => {
    const node = document.querySelector('#tool-says');
    const seen = globalThis.seen = { from: null, to: null };
    new MutationObserver(() => {
      if (seen.from === null && node.textContent.includes(wanted)) seen.from = performance.now();
      else if (seen.from !== null) seen.to ??= performance.now();
    }).observe(node, { childList: true, characterData: true, subtree: true });
  }, words);
  return () => window.page.evaluate(() => globalThis.seen.to && globalThis.seen.to - globalThis.seen.from);
}

test('Freehand is each tool\'s own, and a hole can be begun while it is on', async () => {
  await atBoard(async ({ volume, window, place }) => {
    const isOn = () => window.button('Freehand').getAttribute('aria-pressed');
    const n = marksOf(volume).length;
    await window.tool('Area');
    await window.button('Freehand').click();
    equal(await isOn(), 'true', 'Area');
    const release = await window.hold('**/size'); // what comes late says nothing over it
    const over = await watchSays(window, 'mm of your hand');
    await window.trail(place(STROKE));
    await says(window, /mm of your hand$/).waitFor();
    release();
    await window.saved();
    await window.sized();
    const sooner = await over();
    check(sooner === null || sooner > NOTICE_MS, `something else is said after ${sooner} ms`);
    await window.tool('Line');
    equal(await isOn(), 'false', 'Line');
    await window.tool('Area');
    equal(await isOn(), 'true', 'Area again');
    await window.button('Hole').click();
    const hole = await window.ring(null, place([[-30, -30], [40, -20], [10, 40]]));
    await until('a hole', () => marksOf(volume)[n].holes);
    near(points(marksOf(volume)[n].holes[0]), hole, 'the hole');
  });
});

test('a pen draws on a tablet, and the hand that holds it lies on the glass before', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    const release = await window.hold('**/simplify');
    await window.tool('Area');
    await window.press(window.button('Freehand'));
    const n = marksOf(volume).length;
    const [palm, ...aims] = await window.large.aim([[3000, 5500], ...around([1900, 3700], STROKE, 0.14)]);
    await window.pen(aims.map(({ screen }) => screen), { resting: palm.screen });
    const mark = await until('the stroke', () => marksOf(volume)[n]);
    near(points(mark.outline), aims.map(({ photo }) => photo), 'as the pen drew it');
    equal(marksOf(volume).length, n + 1, 'one mark');
    release();
    await window.large.section.getByText(/ mm of your hand$/).waitFor();
  }, { viewport: { width: 1024, height: 768 }, hasTouch: true, isMobile: true });
});

await run(stopBrowser);
