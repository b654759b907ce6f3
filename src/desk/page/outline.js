// A place in small: where on the photograph an outline, line or point lies, and how it runs.

import { phrase } from './phrases.js';

const SVG = 'http://www.w3.org/2000/svg';
const SHAPES = { outline: 'polygon', holes: 'polygon', line: 'polyline' };
const ROOM = 0.25; // left round it, of its own size

function numbers(text) {
  return text
    .trim()
    .split(/\s+/)
    .map((pair) => pair.split(',').map(Number));
}

function svg(tag, attributes) {
  const node = document.createElementNS(SVG, tag);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  return node;
}

function boxOf(points, photo) {
  const [xs, ys] = [0, 1].map((axis) => points.map((point) => point[axis]));
  const size = Math.max(
    Math.max(...xs) - Math.min(...xs),
    Math.max(...ys) - Math.min(...ys),
    photo.width / 20,
  );
  const middle = [xs, ys].map((list) => (Math.max(...list) + Math.min(...list)) / 2);
  const side = size * (1 + 2 * ROOM);
  return [middle[0] - side / 2, middle[1] - side / 2, side, side];
}

/** `texts`: points of the record; `key`: outline, holes, line or point. */
export function outlinePicture(texts, key, photo) {
  const all = texts.flatMap(numbers);
  const box = boxOf(all, photo);
  const picture = svg('svg', {
    class: 'outline-picture',
    viewBox: box.join(' '),
    role: 'img',
    'aria-label': phrase('outline-of', { what: phrase(`outline-${key}`), points: phrase('points', { n: all.length }) }),
  });
  for (const text of texts)
    picture.append(
      key === 'point'
        ? svg('circle', { cx: numbers(text)[0][0], cy: numbers(text)[0][1], r: box[2] / 20 })
        : svg(SHAPES[key], { points: text }),
    );
  return picture;
}
