// What the record would not take and is laid back on the photograph, so that it is mended and not
// drawn again.
import { apply } from './edits.js';
import { shapeOf } from './ink.js';
import { OWN } from './own.js';
import { parsePoints } from './points.js';
import { placedAs } from './steady.js';

const PLACES = ['outline', 'line', 'point', 'holes'];

function isOwn({ mark, key }) { return mark === undefined && key in OWN; }
function isPlace(edit) { return isOwn(edit) || PLACES.includes(edit.key); }
function isOfSame(a, b) { return a.mark === b.mark && (a.key === b.key || !isOwn(a)); }

/**
 * What was drawn in edits that were refused: {kind, path} of a mark that was to be new, or of an outline
 * of the photograph's own; {mark, rings} of
 * one that `photo`, as the server has it, shows; null where words alone were refused.
 */
export function drawnIn(edits, photo) {
  const place = edits.find((edit) => isPlace(edit) && edit.value !== null);
  if (!place) return null;
  if (isOwn(place)) return { kind: place.key, path: parsePoints(place.value) };
  if (!photo.marks.some(({ id }) => id === place.mark)) {
    const isPath = place.key === 'outline' || place.key === 'line';
    return isPath ? { kind: place.key === 'line' ? 'line' : 'area', path: placedAs(edits, parsePoints(place.value)) } : null;
  }
  const mark = apply(photo, edits).marks.find(({ id }) => id === place.mark);
  return { mark: mark.id, rings: shapeOf(mark).rings };
}

/** A later stroke that still waits has the same mark's place: that is the one that counts. */
export function isDrawnAnew(edits, strokes) {
  const place = edits.find(isPlace);
  return strokes.some((stroke) => stroke.edits.some((edit) => isPlace(edit) && isOfSame(edit, place)));
}
