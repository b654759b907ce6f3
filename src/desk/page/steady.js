// How well a hand places a point: from far away a pixel of the screen is many of the photograph, and
// the size of what is drawn there owes as much. It is written with the mark where it is more than the
// record takes for granted, so that every ± follows. Pure.

/** In pixels of the screen, each coordinate, one standard uncertainty; common practice, no source. */
const HAND = { mouse: 1, pen: 1, keys: 1, touch: 2 };

const KEY = 'uncertainty/outline';

/** In pixels of the photograph, where one of them is `scale` on the screen. */
export function handOf(by, scale) { return HAND[by] / scale; }

/** Of the worst placed point of some; a point that is another's copy has no `hand` of its own. */
export function worstHand(path) { return path.reduce((worst, { hand = 0 }) => Math.max(worst, hand), 0); }

/** What a mark says of a hand that bad, {} where its photograph (or what the mark says already) covers it. */
export function handWords(hand, photo, words = {}) {
  const covered = Number(words[KEY] ?? photo.outline_px);
  return hand > covered ? { [KEY]: String(Number(hand.toPrecision(2))) } : {};
}

/** The same as edits of a mark. */
export function handEdits(mark, hand, photo, words) {
  return Object.entries(handWords(hand, photo, words)).map(([key, value]) => ({ mark, key, value }));
}

/** A new mark's path as it was placed, by the edits that were to write it. */
export function placedAs(edits, path) {
  const said = edits.find(({ key }) => key === KEY)?.value;
  return said ? path.map((p) => ({ ...p, hand: Number(said) })) : path;
}
