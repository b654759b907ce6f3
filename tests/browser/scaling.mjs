// What the tests of scales set by hand share: photographs of the demo whose scale is taken away, and the
// sizes that must come of another.

import { equal, measure, sizeWords, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { points, readSidecar } from './sidecar.mjs';

/** Photographs of the demo whose scale its generator wrote by hand: the true places, to two decimals. */
export const CARD = { file: 'before/LF12_0033.jpg', name: 'tail, before', by: 'rectangle' }; // a plain card, 100 x 60 mm
export const SPAN = { file: 'during/LF12_0063.jpg', name: 'detail, front board, tail corner, during', by: 'span' };
export const RULE = { file: 'before/LF12_0038.jpg', name: 'detail, front board, tail corner, before', by: 'ticks' };

// What is found lies so near the truth: the demo's pictures are blurred and noisy, and an end moves along
// its line alone, which a mouse sets to half a pixel of the screen.
export const EDGE_PX = 0.5;
export const LINE_MM = 140; // of the rule, from its graduation 50 to 190: RULE_FROM and RULE_TO of fixtures/demo
export const [FULL, DOTTED] = [':not([stroke-dasharray])', '[stroke-dasharray]'];
const FREE = [[300, 700], [700, 700], [700, 1000], [300, 1000]]; // of each of them: where no mark is

export const scaleOf = (volume, { file }) => readSidecar(volume.sidecar(file)).scale;
export const field = (window, name) => window.slip.getByRole('textbox', { name, exact: true });
export const shift = (path, dx, dy) => path.map(([x, y]) => [x + dx, y + dy]);

/** Takes a photograph's scale away, but for how the surface lies; gives it. */
function unscale(volume, photo) {
  const { [photo.by]: scale } = scaleOf(volume, photo);
  volume.write(`${photo.file}.yaml`, volume.sidecar(photo.file).replace(new RegExp(`^  ${photo.by}: .*\n`, 'm'), ''));
  return scale;
}

/** A test with the scale of one of them to be set: `truth`: how it was; `begun`: the text without it. */
export function atScale(photo, body) {
  let truth;
  return atDesk(async (all) => {
    await all.window.open(photo.name);
    await all.window.tool('Scale');
    await body({ ...all, photo, truth, begun: all.volume.sidecar(photo.file) });
  }, { prepare: (volume) => { truth = unscale(volume, photo); } });
}

export async function fillIn(window, sizes) {
  for (const [name, value] of Object.entries(sizes)) await field(window, name).fill(value);
  await field(window, Object.keys(sizes).at(-1)).press('Tab');
}

/** Runs in the page: a path's vertices, in CSS pixels of the window. */
function readPath(path) {
  return [...path.getAttribute('d').matchAll(/([-\d.]+) ([-\d.]+)/g)].map(([, x, y]) => {
    const at = new DOMPoint(Number(x), Number(y)).matrixTransform(path.getScreenCTM());
    return [at.x, at.y];
  });
}

/** The vertices of what is drawn last, in pixels of the photograph. */
export async function drawn(window, dash) {
  const { scale, left, top } = await window.large.lay();
  await window.frames();
  const found = await window.large.section.locator(`svg.ink path${dash}`).last().evaluate(readPath);
  return found.map(([x, y]) => [(x - left) / scale.x, (y - top) / scale.y]);
}

/** What the slip says of the scale that is being set. */
export async function figures(window) {
  return window.slip.getByText(/^[\d.]+ px\/mm /).filter({ visible: true }).innerText();
}

export const ends = ({ from, to }) => [points(from)[0], points(to)[0]];

/** Every size of the photograph's list of marks, and of one more that is drawn, is what `measure` prints. */
export async function agree({ volume, window, photo }) {
  await window.saved();
  await window.tool('Area');
  const aims = await window.large.aim(FREE);
  for (const { screen } of aims) await window.click(screen);
  await window.mouse([aims[0].screen]);
  await window.sized();
  const [live] = await until('a live size', async () => /\S+ ± \S+ mm²/.exec(await window.large.section.innerText()));
  await window.click(aims[0].screen);
  await window.saved();
  const { marks, scale } = measure(volume.path).photos.find(({ file }) => file === photo.file);
  equal(live, sizeWords(marks.at(-1).area_mm2, 'mm²'), 'the live size');
  await window.slip.getByRole('button', { name: 'All marks' }).click();
  for (const mark of marks.filter(({ kind }) => kind !== 'point')) {
    const words = mark.area_mm2 ? sizeWords(mark.area_mm2, 'mm²') : sizeWords(mark.length_mm, 'mm');
    const row = window.slip.getByRole('listitem').filter({ hasText: mark.term }).filter({ hasText: words });
    await until(`${mark.id} ${mark.term}, ${words} on the slip`, async () => await row.count() > 0);
  }
  return scale;
}
