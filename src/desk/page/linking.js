// Linking marks, taking links and marks away, and how all that is said: what the slip, the list of what
// is to do and the keys share. Which links can stand stands in links.js.

import { book } from './book.js';
import { afterOf, brokenOf, linkEdits, madeGood, pointingAt, whyNot, withoutLink, withoutMarks } from './links.js';
import { phrase } from './phrases.js';
import { fullName, nameOfMark, nameOfPhoto, plainly } from './tell.js';

const photoOf = (id) => book.volume.photos.find((photo) => photo.id === id);

const inOneLine = (list) => list.reduce((a, b) => phrase('and', { a, b }));

/** Said, and shown under the photograph; with the photograph it was written with, where that is not the one on the bench. */
function tell(text, written, back = 'takes') {
  const elsewhere = written.filter((id) => id !== book.photo.id).map((id) => nameOfPhoto(photoOf(id)));
  const where = elsewhere.length > 0 ? phrase('written-with', { photos: inOneLine(elsewhere) }) : '';
  const all = phrase(`undo-${back}`, { what: text, where });
  book.tell('notice', { text: all });
  book.say(all);
}

// ---- Picking a fellow ----

const meant = (term) => book.terms.find(({ name, synonyms }) => name === term || synonyms.includes(term))?.name ?? term;

/** Why a mark cannot be what is asked for; null: it can. */
export function whyNotPicked(photo, mark) {
  return whyNot(book.picking, { photo: book.photo, mark: book.peekMark() }, { photo, mark }, book.links, meant);
}

/** Links the chosen mark with one that was touched. */
export async function picked(photo, mark) {
  const [key, here] = [book.picking, book.peekMark()];
  if (!key || !here) return;
  const why = whyNotPicked(photo, mark);
  if (why) {
    const text = phrase('cannot-be', { number: mark.number ?? mark.id, why });
    book.tell('notice', { text });
    book.say(text, true);
    return;
  }
  const part = linkEdits(key, { photo: book.photo, mark: here }, { photo, mark });
  const [what, id] = key === 'earlier' ? [photo.id, mark.id] : [book.photo.id, here.id];
  const too = key === 'same-as' ? [] : pointingAt(book.links, what, id).filter((link) => link.key === 'earlier');
  const written = book.editAll([part], phrase('linked'));
  await book.pick(null);
  await written;
  const linked = phrase('linked-with', { number: mark.number ?? mark.id });
  const marks = too.map((link) => phrase('mark-number', { number: link.mark }));
  tell(too.length > 0 ? phrase('linked-before', { linked, marks: inOneLine(marks) }) : linked, [part.photo]);
}

// ---- What has become of a mark ----

/** The photograph of after treatment beside which a mark of before stands; undefined without one. */
export function afterPhoto() {
  const { photo, other, volume } = book;
  const usual = afterOf(photo, volume.photos);
  return usual && other?.stage === 'after' && other.view === usual.view && other.place === usual.place ? other : usual;
}

export async function makeGood(mark) {
  const after = afterPhoto();
  const id = await book.newMarkIdOn(after.id);
  await book.editAll([madeGood({ photo: book.photo, mark }, after, id)], phrase('made-good'));
  tell(phrase('was-made-good'), [after.id]);
}

// ---- Taking away ----

export async function unlink(link) {
  const parts = withoutLink(book.links, link);
  await book.editAll(parts, link.gone && link.key === 'earlier' ? phrase('made-good-back') : phrase('unlinked'));
  tell(link.gone && link.key === 'earlier' ? phrase('no-longer-good') : phrase('was-unlinked'), parts.map(({ photo }) => photo));
}

/** Takes marks away, and what else points at them loses the link alone. */
export async function removeMarks(marks) {
  const parts = withoutMarks(book.links, marks);
  await book.editAll(parts, marks.length > 1 ? phrase('marks-deleted', { n: marks.length }) : phrase('mark-deleted', { number: marks[0].number }));
  tell(marks.length > 1 ? phrase('marks-deleted', { n: marks.length }) : phrase('was-deleted'), parts.map(({ photo }) => photo), 'brings');
}

/** Deletes a mark; where others point at it, a person is asked first (deleting.js). */
export function deleteMark(mark) {
  const name = { photo: book.photo.id, mark: mark.id, number: mark.number ?? mark.id };
  if (pointingAt(book.links, name.photo, name.mark).length > 0) book.tell('asking', name);
  else removeMarks([name]);
}

// ---- Links that do not stand ----

function unlikeWords({ key, photo, to, term, part }) {
  if (to.photo === photo && key === 'same-as') return phrase('unlike-one-photo');
  const [here, there] = [photoOf(photo).stage, photoOf(to.photo).stage];
  if (key === 'same-as' ? here !== there : here !== 'after' || there === 'after') return phrase('unlike-stages');
  if (key === 'same-as' && meant(term) !== meant(to.term)) return phrase('unlike-terms');
  if (key === 'same-as' && (part ?? null) !== (to.part ?? null)) return phrase('unlike-parts');
  return phrase('unlike-drawn');
}

/** What is wrong with a link that does not stand, in words of the bench. */
export function brokenWords(link) {
  if (link.to.mark === undefined) return phrase(`broken-${link.key}-gone`);
  return phrase(`broken-${link.key}`, { mark: fullName(link.to, book.volume), why: unlikeWords(link) });
}

/** Links of a photograph that do not stand. */
export function brokenOn(photo) {
  return book.links.filter((link) => link.photo === photo && !link.stands);
}

/** What the reader complains of: {says, link}, `link` where it is one that does not stand. */
export function complaintWords(complaint, photo) {
  const link = brokenOf(complaint, photo, book.links);
  return link ? { says: brokenWords(link), link } : { says: plainly(complaint.says), link: null };
}

/** Marks that point at one, by name: "mark 5 loss, spine, on front board, after treatment". */
export const linkName = (link) => fullName(link, book.volume);
