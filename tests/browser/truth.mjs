// What the demo was painted from, and how near an outline or a place comes to it. The generator writes
// demo-truth.json from its drawings in mm and its cameras; no code of the page or the library is in it.

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { BUILD } from './bench.mjs';

/** The truth of a photograph of the demo. */
export function truthOf(file) {
  const { photos } = JSON.parse(readFileSync(join(BUILD, 'demo-truth.json'), 'utf8'));
  return photos.find((photo) => photo.file === file);
}

/** A place in mm of the drawn surface as its camera sees it, in upright pixels. */
export function seenAt({ surface_mm_to_px: h }, [x, y]) {
  const w = h[6] * x + h[7] * y + h[8];
  return [(h[0] * x + h[1] * y + h[2]) / w, (h[3] * x + h[4] * y + h[5]) / w];
}

/** Where rings are crossed by a horizontal line, from left to right. */
function crossings(rings, y) {
  const found = [];
  for (const ring of rings)
    ring.forEach(([x0, y0], i) => {
      const [x1, y1] = ring[(i + 1) % ring.length];
      if ((y0 > y) !== (y1 > y)) found.push(x0 + ((y - y0) / (y1 - y0)) * (x1 - x0));
    });
  return found.sort((a, b) => a - b);
}

/** Of the crossings of two shapes with a line: how much of it lies in both, and in either. */
function shared(a, b) {
  const ends = [...a.map((x) => [x, 0]), ...b.map((x) => [x, 1])].sort(([x], [y]) => x - y);
  const inside = [false, false];
  let [both, either, last] = [0, 0, 0];
  for (const [x, which] of ends) {
    if (inside[0] && inside[1]) both += x - last;
    if (inside[0] || inside[1]) either += x - last;
    inside[which] = !inside[which];
    last = x;
  }
  return [both, either];
}

/** Intersection over union of two shapes, each an outline and its holes, on the middle lines of pixels. */
export function overlap(a, b) {
  const rows = [...a, ...b].flat().map(([, y]) => y);
  let [both, either] = [0, 0];
  for (let y = Math.floor(Math.min(...rows)) + 0.5; y < Math.max(...rows); y += 1) {
    const [x, z] = shared(crossings(a, y), crossings(b, y));
    both += x;
    either += z;
  }
  return both / either;
}

function fromEdge([x, y], [x0, y0], [x1, y1]) {
  const [dx, dy] = [x1 - x0, y1 - y0];
  const t = Math.min(1, Math.max(0, ((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy)));
  return Math.hypot(x - x0 - t * dx, y - y0 - t * dy);
}

/** The place of a grid that lies furthest inside a shape. */
export function middleOf(rings) {
  const GRID = 24;
  const [xs, ys] = [0, 1].map((axis) => rings[0].map((p) => p[axis]));
  const along = (values, k) => Math.min(...values) + ((Math.max(...values) - Math.min(...values)) * (k + 0.5)) / GRID;
  const places = Array.from({ length: GRID * GRID }, (_, i) => [along(xs, i % GRID), along(ys, Math.floor(i / GRID))]);
  const inside = places.filter(([x, y]) => crossings(rings, y).filter((end) => end < x).length % 2 === 1);
  const room = (p) => Math.min(...rings.flatMap((ring) => ring.map((a, i) => fromEdge(p, a, ring[(i + 1) % ring.length]))));
  return inside.reduce((best, p) => (room(p) > room(best) ? p : best));
}

/** The place in mm of what is seen at a pixel: seenAt the other way round, by the adjugate. */
export function drawnAt({ surface_mm_to_px: [a, b, c, d, e, f, g, h, i] }, at) {
  const back = [e * i - f * h, c * h - b * i, b * f - c * e, f * g - d * i, a * i - c * g, c * d - a * f,
    d * h - e * g, b * g - a * h, a * e - b * d];
  return seenAt({ surface_mm_to_px: back }, at);
}
