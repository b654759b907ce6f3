// How a photograph lies on the screen, pure. A view is {scale, left, top}: a point p of the upright
// photograph (origin at the outer corner of the top-left pixel) is seen at p * scale - (left, top),
// in CSS pixels from the sheet's corner. Both ways are exact but for the arithmetic of doubles.

import { homographyThrough } from './homography.js';

/** @typedef {{scale: number, left: number, top: number}} View */
/** @typedef {{width: number, height: number}} Size */

export function toScreen(view, p) {
  return { x: p.x * view.scale - view.left, y: p.y * view.scale - view.top };
}

export function toPhoto(view, s) {
  return { x: (s.x + view.left) / view.scale, y: (s.y + view.top) / view.scale };
}

/** A view with `at` of the photograph in the middle of the sheet. At a whole scale it lies on whole
 * pixels of the screen, so that a pixel of the photograph is one of the screen (or four, or nine). */
export function viewOf(at, scale, sheet) {
  const place = Number.isInteger(scale) ? Math.round : (v) => v;
  return {
    scale,
    left: place(at.x * scale - sheet.width / 2),
    top: place(at.y * scale - sheet.height / 2),
  };
}

export function centreOf(view, sheet) {
  return toPhoto(view, { x: sheet.width / 2, y: sheet.height / 2 });
}

/** The scale at which the whole photograph is seen, with a little of the bench around it. */
export function fitScale(photo, sheet, rim = 12) {
  const [width, height] = [Math.max(40, sheet.width - 2 * rim), Math.max(40, sheet.height - 2 * rim)];
  return Math.min(width / photo.width, height / photo.height);
}

/** At least a corner of the photograph stays in sight. */
export function keepInSight(at, photo) {
  return { x: Math.min(photo.width, Math.max(0, at.x)), y: Math.min(photo.height, Math.max(0, at.y)) };
}

/** The middle of the view after zooming to `scale` with what lies at `s` of the screen staying there. */
export function centreAfterZoom(view, sheet, s, scale) {
  const p = toPhoto(view, s);
  return { x: p.x + (sheet.width / 2 - s.x) / scale, y: p.y + (sheet.height / 2 - s.y) / scale };
}

/**
 * The affine map that carries `from` to `to` with the least squares: [a, b, c, d, e, f] for
 * x' = ax + by + c, y' = dx + ey + f. Needs three points that are not in line; null otherwise.
 */
export function affineThrough(from, to) {
  const n = from.length;
  if (n < 3) return null;
  const mean = (path, key) => path.reduce((sum, p) => sum + p[key], 0) / n;
  const [mx, my, ux, uy] = [mean(from, 'x'), mean(from, 'y'), mean(to, 'x'), mean(to, 'y')];
  let [xx, xy, yy, xu, yu, xv, yv] = [0, 0, 0, 0, 0, 0, 0];
  from.forEach((p, i) => {
    const [x, y, u, v] = [p.x - mx, p.y - my, to[i].x - ux, to[i].y - uy];
    xx += x * x; xy += x * y; yy += y * y;
    xu += x * u; yu += y * u; xv += x * v; yv += y * v;
  });
  const det = xx * yy - xy * xy;
  if (det < 1e-6 * (xx + yy) ** 2) return null;
  const [a, b] = [(xu * yy - yu * xy) / det, (yu * xx - xu * xy) / det];
  const [d, e] = [(xv * yy - yv * xy) / det, (yv * xx - xv * xy) / det];
  return [a, b, ux - a * mx - b * my, d, e, uy - d * mx - e * my];
}

/** Where one photograph has what lies at p of another: by ties where there are enough, else in
 * proportion. `ties`: [{from, to}]. */
export function follower(fromSize, toSize, ties = []) {
  const [from, to] = [ties.map((tie) => tie.from), ties.map((tie) => tie.to)];
  const map = homographyThrough(from, to);
  const [a, b, c, d, e, f] = affineThrough(from, to)
    ?? [toSize.width / fromSize.width, 0, 0, 0, toSize.height / fromSize.height, 0];
  return {
    map: map ?? ((p) => ({ x: a * p.x + b * p.y + c, y: d * p.x + e * p.y + f })),
    stretch: Math.sqrt(Math.abs(a * e - b * d)),
  };
}
