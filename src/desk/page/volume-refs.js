// What volume.yaml names by a file, a number or a word, as a person knows it: photographs of the volume,
// marks on them, pieces, parts.

import { book } from './book.js';
import { partWord, phrase } from './phrases.js';
import { nameOfMark, nameOfPhoto } from './tell.js';
import { rowOf } from './volume-forms.js';
import { get } from './wire.js';

const IS_PICTURE = /\.(jpe?g|png|tiff?|hei[cf])$/i;

/** "PHOTO" or "PHOTO#ID" in its two halves; split at the last #. */
export function halvesOf(text) {
  const at = text.lastIndexOf('#');
  return at < 0 ? { file: text, mark: null } : { file: text.slice(0, at), mark: text.slice(at + 1) };
}

const known = new Map(); // a photograph's id -> {tag, marks}

/** Marks of a photograph as they were read last; null: never. What lies on the bench is newer. */
export function peekMarks({ id, n_marks: n }) {
  const shown = [book.photo, book.other].find((one) => one?.id === id);
  return shown?.marks ?? known.get(id)?.marks ?? (n === 0 ? [] : null);
}

/** Reads the marks of a photograph, where they are not known as they are now; TRUE: others than before. */
export async function readMarks({ id, tag }) {
  if (known.get(id)?.tag === tag) return false;
  const { marks } = await get(`/photo/${id}`);
  known.set(id, { tag, marks });
  return true;
}

/** Where it leads: {photo, mark} by their ids, {piece}, {words}, or {lost} where the volume has no such thing. */
export function leadsTo(text) {
  const { file, mark } = halvesOf(text);
  const photo = book.volume.photos.find((one) => one.file === file);
  if (photo) return { photo, mark };
  const piece = book.record?.marks.find(({ id }) => id === `pieces ${text}`);
  if (piece) return { piece };
  return mark !== null || IS_PICTURE.test(text) ? { lost: text } : { words: text };
}

/** In words: {name, more}. */
export function nameOfReference(text) {
  const { photo, mark, piece, words } = leadsTo(text);
  if (piece) return { name: `${text} ${piece.words.what ?? ''}`.trim(), more: phrase('reference-piece') };
  if (words) return { name: partWord(words), more: '' };
  if (!photo) return { name: text, more: phrase('reference-lost') };
  if (mark === null) return { name: nameOfPhoto(photo), more: photo.file };
  const found = peekMarks(photo)?.find(({ id }) => id === mark);
  const more = found || peekMarks(photo) === null ? nameOfPhoto(photo) : phrase('reference-no-mark', { photo: nameOfPhoto(photo) });
  return { name: [phrase('mark-number', { number: found?.number ?? mark }), found && nameOfMark(found)].filter(Boolean).join(': '), more };
}

/** A value of volume.yaml as a person says it: what is chosen by its name, words as they stand. */
export function spokenOf(list, key, value) {
  const { kind } = rowOf(list, key) ?? {};
  const say = (text) => {
    if (Array.isArray(kind)) return kind.find(([known]) => known === text)?.[1] ?? text;
    const { name, more } = kind === 'photos' ? nameOfReference(text) : { name: text, more: '' };
    return more ? `${name} (${more})` : name;
  };
  return [value].flat().map(say).join('; ');
}
