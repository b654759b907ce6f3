// How things are said, in one place: a photograph's name, a mark's, a day, a number of things.

const MONTHS = [
  'January',
  'February',
  'March',
  'April',
  'May',
  'June',
  'July',
  'August',
  'September',
  'October',
  'November',
  'December',
];

const STAGES = { before: 'before treatment', during: 'during treatment', after: 'after treatment' };

export const STAGES_OF = [
  ['before', 'before'],
  ['during', 'during'],
  ['after', 'after'],
];
export const BASES = [
  ['observed', 'seen'],
  ['tested', 'tested'],
  ['inferred', 'interpretation'],
  ['reported', 'according to the owner'],
];
export const SEVERITIES = [
  ['1', 'slight'],
  ['2', 'moderate'],
  ['3', 'strong'],
];

/** What a key of the record is called on the page, where that is another word. */
export const NAMES = {
  basis: 'known by',
  severity: 'how much',
  'privacy-checked': 'looked through',
  'scale/plane-offset': 'level',
  'plane-offset': 'level',
  'scale/camera-distance': 'distance',
  'photo/source': 'taken by',
  'same-as': 'seen twice',
  earlier: 'before treatment',
  gone: 'made good',
  surface: 'the whole face',
  neutral: 'a true grey',
  mark: 'the mark',
  drawn: 'where it is',
};

/** "2 March 2026" of "2026-03-02T10:14:07+01:00": the day that the camera's clock showed. */
export function dayOf(time) {
  const [, year, month, day] = /^(\d{4})-(\d{2})-(\d{2})/.exec(time ?? '') ?? [];
  return day ? `${Number(day)} ${MONTHS[Number(month) - 1]} ${year}` : 'day not known';
}

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

export function stageName(stage) {
  return STAGES[stage] ?? 'stage not told';
}

/** Of a photograph that has no text yet, the file's name is all there is. */
export const isNew = (photo) => photo.taken_in === false;

/** Why nothing can be written of a photograph; null: it can. */
export function whyShut({ id, tag, taken_in: isTakenIn }) {
  if (tag !== null) return null;
  if (id === 'volume') return 'volume.yaml is not there or cannot be read, so that nothing is changed in it. Check the record: it tells why.';
  return isTakenIn ? 'The text of this photograph cannot be read, so that nothing is changed in it.'
    : 'This photograph has not been taken in yet: there is no text beside it to write in.';
}

export function viewName(photo) {
  return [photo.view ?? (isNew(photo) ? photo.file : 'view not told'), photo.place].filter(Boolean).join(', ');
}

export function nameOfPhoto(photo) {
  const step = photo.step ? `: ${photo.step}` : '';
  return `${viewName(photo)}, ${isNew(photo) ? 'not taken in yet' : stageName(photo.stage)}${step}`;
}

/** "stain, paper side" */
export function nameOfMark(mark) {
  return [mark.words.term ?? 'undecided', mark.words.part].filter(Boolean).join(', ');
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
  return `mark ${number} ${nameOfMark({ words: { term, part } })}${on ? `, on ${nameOfPhoto(on)}` : ''}`;
}

export function many(n, one, more = `${one}s`) {
  return `${n} ${n === 1 ? one : more}`;
}

export function capital(text) {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
