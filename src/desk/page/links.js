// What marks say of each other, over the whole volume: `same-as` for one damage on two photographs of
// a stage, `earlier` for what a mark of after treatment was before. Which links can stand is the
// record's to say; here the same is known beforehand, so that none is offered that could not. Pure.

import { kindOf } from './edits.js';
import { phrase } from './phrases.js';

/**
 * @typedef {{photo: string, mark: string, number: string, term?: string, part?: string}} Name of a mark
 * @typedef {Name & {gone: boolean, key: string, reference: string, stands: boolean, to: Name | {}}} Link
 *   `to` is empty where it leads to no mark
 */

const KEYS = ['same-as', 'earlier'];

const isGone = ({ words }) => words.gone === 'yes' || words.gone === 'true';

export const referenceTo = (photo, id) => `${photo.file}#${id}`;

function nameIn(photo, { id, number, words }) {
  return { photo: photo.id, mark: id, number: number ?? id, term: words.term, part: words.part };
}

/** Where a reference leads among photographs as they are shown; undefined: to one that is not. */
function leadsTo(reference, shown) {
  const at = reference.lastIndexOf('#');
  const photo = shown.find(({ file }) => file === reference.slice(0, at));
  const mark = photo?.marks.find(({ id }) => id === reference.slice(at + 1));
  return photo && (mark ? nameIn(photo, mark) : {});
}

/** All links of a volume, {links}; for photographs that are `shown` by what stands on them now. */
export function linksAmong({ links }, shown) {
  const known = (one) => links.find(({ photo, mark, key, reference }) =>
    photo === one.photo && mark === one.mark && key === one.key && reference === one.reference);
  const here = shown.flatMap((photo) => photo.marks.flatMap((mark) => KEYS.filter((key) => mark.words[key])
    .map((key) => ({ ...nameIn(photo, mark), gone: isGone(mark), key, reference: mark.words[key] }))));
  const elsewhere = links.filter((link) => !shown.some(({ id }) => id === link.photo));
  return [...here, ...elsewhere].map((link) => {
    const saved = known(link);
    const to = leadsTo(link.reference, shown) ?? saved?.to ?? {};
    return { ...link, to, stands: to.mark !== undefined && (saved?.stands || !saved?.to.mark) };
  });
}

/** The marks of a photograph that something says it belongs to, whether they are there or not. */
export function idsLedTo(links, file) {
  const begin = `${file}#`;
  return links.filter(({ reference }) => reference.startsWith(begin)).map(({ reference }) => reference.slice(begin.length));
}

/** Links that lead to a mark. */
export function pointingAt(links, photo, mark) {
  return links.filter(({ to }) => to.photo === photo && to.mark === mark);
}

/** Those and what points at their marks in turn: all that cannot stand without it. */
export function hangingOn(links, photo, mark) {
  const all = [{ photo, mark }];
  const isKnown = (one) => all.some((other) => other.photo === one.photo && other.mark === one.mark);
  for (const next of all) // grows meanwhile
    for (const link of pointingAt(links, next.photo, next.mark)) if (!isKnown(link)) all.push(link);
  return all.slice(1);
}

/** [{photo, edits}] of [{photo, edit}]. */
function byPhotograph(list) {
  const photos = [...new Set(list.map(({ photo }) => photo))];
  return photos.map((photo) => ({ photo, edits: list.filter((one) => one.photo === photo).map(({ edit }) => edit) }));
}

/** Takes marks away, and of what still points at them the link alone; what is made good goes with what it was. */
export function withoutMarks(links, marks) {
  const isAway = (one) => marks.some(({ photo, mark }) => photo === one.photo && mark === one.mark);
  const loose = marks.flatMap(({ photo, mark }) => pointingAt(links, photo, mark)).filter((link) => !isAway(link));
  return byPhotograph([
    ...loose.map(({ photo, mark, key }) => ({ photo, edit: { mark, key, value: null } })),
    ...marks.map(({ photo, mark }) => ({ photo, edit: { mark, key: null, value: null } })),
  ]);
}

/** Takes a link away; a mark that is made good stands by what it was alone, and goes with it. */
export function withoutLink(links, link) {
  if (link.gone && link.key === 'earlier') return withoutMarks(links, [link]);
  return [{ photo: link.photo, edits: [{ mark: link.mark, key: link.key, value: null }] }];
}

const sameFace = (a, b) => a.view === b.view && (a.place ?? null) === (b.place ?? null);

/** Whether the fellow of a mark of `photo` can be on `other`. */
export function isFit(key, photo, other) {
  const [from, to] = key === 'later' ? [other, photo] : [photo, other];
  if (key === 'same-as') return from.id !== to.id && from.stage === to.stage;
  return from.stage === 'after' && (to.stage === 'before' || to.stage === 'during');
}

/** Photographs of a volume on which that fellow can be, the likeliest first. */
export function fittingPhotos(key, photo, photos) {
  const far = (one) => (one.id === photo.pair ? 0 : sameFace(one, photo) ? 1 : one.view === photo.view ? 2 : 3);
  return photos.filter((one) => isFit(key, photo, one)).sort((a, b) => far(a) - far(b));
}

/** The photograph of after treatment that shows the same face as `photo`, of before; undefined without one. */
export function afterOf(photo, photos) {
  const [first] = fittingPhotos('later', photo, photos);
  return first && (first.id === photo.pair || sameFace(first, photo)) ? first : undefined;
}

const undecided = ({ words }) => (words.term ?? 'undecided') === 'undecided';

function whyNotEarlier(after, before, links) {
  const was = links.find(({ photo, mark, key }) => key === 'earlier' && photo === after.photo.id && mark === after.mark.id);
  if (was?.stands) return phrase('not-linked-else');
  const others = pointingAt(links, before.photo.id, before.mark.id).filter(({ key }) => key === 'earlier');
  if (others.some(({ gone }) => gone)) return phrase('not-good-already');
  if (others.length > 0 && isGone(after.mark)) return phrase('not-still-there');
  return after.mark.kind === before.mark.kind || (isGone(after.mark) && kindOf(after.mark.words) === 'gone') ? null : phrase('not-unlike');
}

function runsBack(links, from, to) {
  for (let at = from, n = 0; at?.mark !== undefined && n <= links.length; n += 1) {
    if (at.photo === to.photo && at.mark === to.mark) return true;
    const { photo, mark } = at;
    at = links.find((link) => link.key === 'same-as' && link.photo === photo && link.mark === mark)?.to;
  }
  return false;
}

function whyNotSame(here, there, links, meant) {
  const name = { photo: here.photo.id, mark: here.mark.id };
  if (undecided(there.mark)) return phrase('not-undecided');
  if (!undecided(here.mark) && meant(here.mark.words.term) !== meant(there.mark.words.term)) return phrase('not-other-name');
  if (!undecided(here.mark) && (here.mark.words.part ?? null) !== (there.mark.words.part ?? null)) return phrase('not-other-part');
  if (isGone(here.mark) !== isGone(there.mark)) return phrase('not-one-good');
  if (here.mark.kind !== there.mark.kind) return phrase('not-other-kind');
  return runsBack(links, { photo: there.photo.id, mark: there.mark.id }, name) ? phrase('not-this-already') : null;
}

/**
 * Why the mark `there` cannot be what `here` wants by `key`, or null. Both are {photo, mark}.
 * `meant`: the name that a term has in the list, where it is a synonym.
 */
export function whyNot(key, here, there, links, meant = (term) => term) {
  if (!isFit(key, here.photo, there.photo)) return phrase('not-other-stage');
  if (key === 'same-as') return whyNotSame(here, there, links, meant);
  return key === 'later' ? whyNotEarlier(there, here, links) : whyNotEarlier(here, there, links);
}

/** What is written for that link: {photo, edits}. The one that points, if undecided, takes the other's name along. */
export function linkEdits(key, here, there) {
  const [from, to] = key === 'later' ? [there, here] : [here, there];
  const edit = (name, value) => ({ mark: from.mark.id, key: name, value });
  const { term, part } = to.mark.words;
  const named = undecided(from.mark) && term ? [edit('term', term), edit('part', part ?? null)] : [];
  return { photo: from.photo.id, edits: [...named, edit(key === 'later' ? 'earlier' : key, referenceTo(to.photo, to.mark.id))] };
}

/** A mark of after treatment, `id`, that says nothing is left of one of before: {photo, edits}. */
export function madeGood({ photo, mark }, after, id) {
  const { term, part } = mark.words;
  const words = { term: term ?? 'undecided', ...(part && { part }), earlier: referenceTo(photo, mark.id), gone: 'yes' };
  return { photo: after.id, edits: Object.entries(words).map(([key, value]) => ({ mark: id, key, value })) };
}

/** Whether a complaint is of a link that does not stand. */
export const isOfLink = ({ kind }) => kind === 'dangling link' || kind === 'wrong link';

/** The link that one of the reader's complaints is about; undefined: it is about something else. */
export function brokenOf({ kind, mark, says }, photo, links) {
  if (!isOfLink({ kind })) return undefined;
  return links.find((link) => link.photo === photo && link.mark === mark && !link.stands && says.startsWith(link.key));
}
