// How things are said, in one place: a photograph's name, a mark's, an hour.

import { partWord, phrase, termWord, viewWord } from './phrases.js';

export const STAGES_OF = ['before', 'during', 'after'].map((stage) => [stage, phrase(`stage-${stage}`)]);
export const BASES = ['observed', 'tested', 'inferred', 'reported'].map((basis) => [basis, phrase(`basis-${basis}`)]);
export const SEVERITIES = ['1', '2', '3'].map((severity) => [severity, phrase(`severity-${severity}`)]);

/** What a key of the record is called on the page. */
export const NAMES = {
  basis: phrase('name-basis'),
  severity: phrase('name-severity'),
  'privacy-checked': phrase('name-privacy-checked'),
  'scale/plane-offset': phrase('name-level'),
  'plane-offset': phrase('name-level'),
  'scale/camera-distance': phrase('name-distance'),
  'photo/source': phrase('name-source'),
  'same-as': phrase('name-same-as'),
  earlier: phrase('name-earlier'),
  gone: phrase('name-gone'),
  surface: phrase('name-surface'),
  neutral: phrase('name-neutral'),
  mark: phrase('name-mark'),
  drawn: phrase('name-drawn'),
  term: phrase('name-term'),
  part: phrase('name-part'),
  note: phrase('name-note'),
  count: phrase('name-count'),
  private: phrase('name-private'),
  card: phrase('name-card'),
  stage: phrase('name-stage'),
  step: phrase('name-step'),
  view: phrase('name-view'),
  place: phrase('name-place'),
  light: phrase('name-light'),
  caption: phrase('name-caption'),
  shape: phrase('name-shape'),
  scale: phrase('name-scale'),
};

/** "10:42" of a Date, by this machine's clock. */
export function clockOf(date) {
  return [date.getHours(), date.getMinutes()].map((n) => String(n).padStart(2, '0')).join(':');
}

/** Today as a date of the record. */
export function today() {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()]
    .map((n) => String(n).padStart(2, '0'))
    .join('-');
}

/** "before", "before treatment" of a stage of the record. */
export const stageWord = (stage) => phrase(stage ? `stage-${stage}` : 'stage-none');
export const stageName = (stage) => phrase(stage ? `stage-${stage}-treatment` : 'stage-none');

/** Of a photograph that has no text yet, the file's name is all there is. */
export const isNew = (photo) => photo.taken_in === false;

/** Why nothing can be written of a photograph; null: it can. */
export function whyShut({ id, tag, taken_in: isTakenIn }) {
  if (tag !== null) return null;
  if (id === 'volume') return phrase('shut-volume');
  return phrase(isTakenIn ? 'shut-text' : 'shut-new');
}

export function viewName(photo) {
  const view = photo.view ? viewWord(photo.view) : isNew(photo) ? photo.file : phrase('view-none');
  return [view, photo.place].filter(Boolean).join(', ');
}

export function nameOfPhoto(photo) {
  const step = photo.step ? `: ${photo.step}` : '';
  return `${viewName(photo)}, ${isNew(photo) ? phrase('not-taken-in') : stageName(photo.stage)}${step}`;
}

/** "stain, paper side" */
export function nameOfMark(mark) {
  return [termWord(mark.words.term), partWord(mark.words.part)].filter(Boolean).join(', ');
}

/** What the record says of an outline that cannot stand, without the place: the page shows that. */
export function plainly(says) {
  return says
    .replace(/^with its holes, /, '')
    .replace(/ at -?[\d.]+,-?[\d.]+; move the points there, for as it is it has no size$/, '')
    .replace('a hole lies outside the outline', 'a hole lies outside its area');
}

/** "mark 5, loss, spine leather, on spine, after treatment", of a mark on any photograph of the volume. */
export function fullName({ photo, number, term, part }, { photos }) {
  const on = photos.find(({ id }) => id === photo);
  const name = nameOfMark({ words: { term, part } });
  return on ? phrase('mark-named-on', { number, name, photo: nameOfPhoto(on) }) : phrase('mark-named', { number, name });
}

export function capital(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
