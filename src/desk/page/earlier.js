// Marks of two photographs of one face: which belong together, and what was marked on the before
// photograph and has no place of its own on the after one. That is shown there, where ties tell the
// place, dashed and grey as on the plates; nothing of it is saved.
import { homographyThrough } from './homography.js';
import { formatPoints, parsePoints } from './points.js';

const linksOf = ({ words }) => [words.earlier, words['same-as']];

/** Ids of the other photograph's marks that a mark here goes on, with a place of its own. */
function drawnHere(photo, other) {
  const links = photo.marks.filter(({ words }) => words.outline || words.line || words.point)
    .flatMap(linksOf);
  return new Set(links.filter((link) => link?.startsWith(`${other.file}#`)).map((link) => link.slice(other.file.length + 1)));
}

/** Marks of `other` as they lie on `photo`. `ties`: [{from, to}] from `other` to `photo`. Pure. */
export function earlierMarks(photo, other, ties) {
  const map = homographyThrough(ties.map(({ from }) => from), ties.map(({ to }) => to));
  if (!map) return [];
  const isHere = drawnHere(photo, other);
  const moved = (text) => formatPoints(parsePoints(text).map(map));
  return other.marks.filter(({ id }) => !isHere.has(id)).map(({ id, number, words }) => {
    const { outline, line, point, holes } = words;
    return { id: `earlier-${id}`, number, group: null, words: { gone: 'yes', ...(outline && { outline: moved(outline) }),
      ...(holes && { holes: holes.map(moved) }), ...(line && { line: moved(line) }), ...(point && { point: moved(point) }) } };
  });
}

/** Keeps what it made for each sheet until one of its sources has changed. */
export class Earlier {
  #made = new Map();

  on(sheet, photo, before, ties) {
    const of = [photo, before, JSON.stringify(ties)];
    const last = this.#made.get(sheet);
    if (last && last.of.every((part, i) => part === of[i])) return last.marks;
    const marks = earlierMarks(photo, before, ties);
    this.#made.set(sheet, { of, marks });
    return marks;
  }
}

/** The id of the mark of `other` that a mark of `photo` is, was or became; null where there is none. */
export function fellowOf(mark, photo, other) {
  if (!mark) return null;
  const forth = linksOf(mark).find((link) => link?.startsWith(`${other.file}#`));
  if (forth) return forth.slice(other.file.length + 1);
  return other.marks.find((one) => linksOf(one).includes(`${photo.file}#${mark.id}`))?.id ?? null;
}
