// A mark once more, a little aside. Pure.
import { boundsOf, formatPoints, parsePoints } from './points.js';

/** Words that are one mark's alone. */
const OWN = new Set(['id', 'same-as', 'earlier', 'gone']);

/** The words of a copy `away` pixels to the lower right, or where there is room in `photo`. */
export function copyOf(words, away, photo) {
  const place = ['outline', 'line', 'point'].find((key) => words[key]);
  const kept = Object.entries(words).filter(([key]) => !OWN.has(key));
  if (!place) return Object.fromEntries(kept);
  const box = boundsOf(parsePoints(words[place]));
  const dx = box.right + away <= photo.width ? away : -away;
  const dy = box.bottom + away <= photo.height ? away : -away;
  const moved = (text) => formatPoints(parsePoints(text).map(({ x, y }) => ({ x: x + dx, y: y + dy })));
  return Object.fromEntries(kept.map(([key, value]) => [key,
    key === place ? moved(value) : key === 'holes' ? [value].flat().map(moved) : value]));
}
