// All that the page says, in the language of the volume: phrases by their keys, the record's own words,
// days and figures as a reader of that language has them. The server lays the words into the page (page.c),
// English where the language has none; the record itself keeps its English words and its points.

const given = JSON.parse(globalThis.document?.querySelector('#words')?.textContent ?? '{}');
const { phrases = {}, terms = {}, parts = {}, views = {}, lights = {}, months = [], date = '', decimal = '.' } = given;

/** `missing`: keys that stand in English, `why`: all of it does; as the server has it. */
export const { language = 'en', missing = [], why = null } = given;

/** The tags of the languages that there are words of. */
export const { languages = ['en', 'de'] } = given;

/** The phrase of a key with its {blanks} filled in; by `n` that of KEY-one or KEY-many, where there are such. */
export function phrase(key, values = {}) {
  const text = phrases[key] ?? phrases[`${key}-${Number(values.n) === 1 ? 'one' : 'many'}`] ?? key;
  return text.replace(/\{([a-z]+)\}/g, (blank, name) => values[name] ?? blank);
}

const NAMED = ['arrows', 'Backspace', 'Ctrl', 'Del', 'Delete', 'Enter', 'Escape', 'PageDown', 'PageUp', 'Shift', 'Space'];
const nameOfKey = (name) => (NAMED.includes(name) ? phrase(`key-${name.toLowerCase()}`) : name);

/** What is printed on keys: "Strg+Z" of "Ctrl+Z". */
export const keyName = (keys) => keys.split(/(?<=.)\+/).map(nameOfKey).join('+');

// ---- The record's own words ----

const names = new Map(); // a synonym -> the term it is of

/** `list`: GET /terms. A synonym has the word of its term. */
export function learnTerms(list) {
  for (const { name, synonyms } of list) for (const synonym of synonyms) names.set(synonym, name);
}

export function termWord(term) {
  if (!term || term === 'undecided') return phrase('undecided');
  return terms[term] ?? terms[names.get(term)] ?? term;
}

export const partWord = (part) => parts[part] ?? part;
export const viewWord = (view) => views[view] ?? view;
export const lightWord = (light) => lights[light] ?? light;

// ---- Days and figures ----

/** "2 March 2026" of "2026-03-02T10:14:07+01:00": the day that the camera's clock showed. */
export function dayOf(time) {
  const [, year, month, day] = /^(\d{4})-(\d{2})-(\d{2})/.exec(time ?? '') ?? [];
  const values = { year, month: months[Number(month) - 1], day: Number(day) };
  return day ? date.replace(/\{([a-z]+)\}/g, (blank, name) => values[name]) : phrase('day-none');
}

/** A day of the record as a reader of the language has it; what is none as it stands, to be mended. */
export const dayWords = (text) => (/^\d{4}-\d{2}-\d{2}$/.test(text ?? '') ? dayOf(text) : text ?? '');

/** A number of the record with the language's decimal sign, and one that was typed with it as the record has it. */
export const figure = (text) => String(text).replace(/(\d)\.(?=\d)/g, `$1${decimal}`);
export const typed = (text) => (decimal === '.' ? text : text.replace(/(\d),$/, '$1').replaceAll(/(\d),(?=\d)/g, '$1.'));
