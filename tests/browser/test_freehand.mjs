// Freehand: the pen's own trail is saved at once, then thinned to what the eye sees, and the page says how
// near the outline stays to the hand.

import { FRONT_NAME, around, check, equal, near, note, run, test, until } from './bench.mjs';
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
      const says = window.large.section.getByText(/^\d+ points, within [\d.]+ px of your hand$/);
      await says.waitFor();
      const [told, tolerance] = (await says.innerText()).match(/[\d.]+/g).map(Number);
      equal(await window.axe(), [], 'axe-core, thinned');
      await window.picture(`freehand-${tool.toLowerCase()}`);
      await window.saved();
      const thin = await until('the stroke thinned', () => {
        const path = points(marksOf(volume)[n][key]);
        return path.length < stroke.length && path;
      });
      equal(thin.length, told, 'as many points as it says');
      check(thin.length < stroke.length / 2, `${stroke.length} points became ${thin.length}`);
      const off = Math.max(...stroke.map((p) => farFrom(p, closed ? [...thin, thin[0]] : thin)));
      note(`${stroke.length} points became ${thin.length}, ${off.toFixed(2)} px off where ${tolerance} px are told`);
      check(off <= tolerance + 0.06, `${off} px off, but ${tolerance} px told`); // told to one decimal
      const { scale } = await window.large.lay();
      check(tolerance * scale.x < 1, `${tolerance} px are ${tolerance * scale.x} of the screen`); // no eye sees less
    });
  });

test('a pen draws on a tablet, and the hand that holds it lies on the glass before', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    const release = await window.hold('**/simplify');
    await window.tool('Area');
    await window.press(window.button('Freehand'));
    const n = marksOf(volume).length;
    const [palm, ...aims] = await window.large.aim([[3000, 5500], ...around([1900, 3700], STROKE, 0.2)]);
    await window.pen(aims.map(({ screen }) => screen), { resting: palm.screen });
    const mark = await until('the stroke', () => marksOf(volume)[n]);
    near(points(mark.outline), aims.map(({ photo }) => photo), 'as the pen drew it');
    equal(marksOf(volume).length, n + 1, 'one mark');
    release();
    await window.large.section.getByText(/ px of your hand$/).waitFor();
  }, { viewport: { width: 1024, height: 768 }, hasTouch: true, isMobile: true });
});

await run(stopBrowser);
