// What is written on the leaf "The volume": its parts in the order in which one fills them in, each a
// table of fields. `kind`: one of volume-fields.js, text where none is said, or a list of choices
// [[word of the record, word of the page]]. `fold`: rows of one name are folded away under it.

import { figure as asFigure, languages, partWord, phrase, termWord } from './phrases.js';
import { entryOf, listOf } from './record.js';
import { BASES, NAMES, STAGES_OF, capital, stageWord } from './tell.js';

const keyOf = (word) => word.replaceAll(/[ /]/g, '-');

const KINDS = ['part', 'found inside', 'removed'].map((kind) => [kind, phrase(`kind-${keyOf(kind)}`)]);
const OUTCOMES = ['reattached', 'replaced in position', 'returned to owner', 'housed', 'discarded']
  .map((outcome) => [outcome, phrase(`outcome-${keyOf(outcome)}`)]);
const CONSENTS = ['asked', 'given', 'limited', 'withdrawn'].map((is) => [is, phrase(`consent-${is}`)]);
const CONSENT_TO = ['treatment', 'show publicly'].map((to) => ({ value: to, words: phrase(`consent-to-${keyOf(to)}`) }));
const PARTIES = ['owner', 'studio'].map((party) => [party, phrase(`source-${party}`)]);
const DOCUMENTS = ['receipt', 'condition', 'proposal', 'treatment', 'summary'].map((kind) => [kind, phrase(`kind-${kind}`)]);
const READERS = ['studio', 'owner', 'public'].map((whom) => [whom, phrase(`whom-${whom}`)]);
const GIVERS = PARTIES.slice(0, 1).map(([value, words]) => ({ value, words }));
/** One of which the page has no name goes by its tag. */
const languageName = (tag, name = phrase(`language-${tag}`)) => (name === `language-${tag}` ? tag : name);
const LANGUAGES = languages.map((tag) => [tag, languageName(tag)]);
const DESIGNS = ['id1', 'a6', 'strip'].map((design) => ({ value: design, words: design, more: phrase(`design-${design}`) }));

/** What `uncertainty` may name: [name, its unit]. */
const INPUTS = [['outline', 'px'], ['outlining', 'px'], ['corner', 'px'], ['tag', 'px'], ['ticks', 'mm'], ['rectangle', 'mm'],
  ['span', 'mm'], ['print', '%'], ['plane-offset', 'mm'], ['distance', '%'], ['tilt', '\u00b0'], ['lens', '%']];
const DOUBTS = phrase('fold-doubts');
const FIGURES = phrase('fold-figures');

/** The word of a list of choices; what is none of them as it stands. */
const chosenWord = (choices, value) => choices.find(([known]) => known === value)?.[1] ?? value;
const consentTo = (to) => CONSENT_TO.find(({ value }) => value === to)?.words ?? to;

const labelled = (key, label, kind = 'text', more = {}) => ({ key, label, kind, ...more });
const field = (key, name, ...more) => labelled(key, phrase(`label-${name}`), ...more);
const hint = (name) => ({ help: phrase(`hint-${name}`) });
const on = field('on', 'date', 'date');
const basis = labelled('basis', NAMES.basis, BASES);
const part = labelled('part', NAMES.part, 'part');
const place = labelled('place', NAMES.place);
const level = (name) => labelled('plane-offset', NAMES['plane-offset'], 'level', hint(name));
const photos = (key, label, ask, more) => labelled(key, label, 'photos', { ask: phrase(`ask-${ask}`), ...more });
const stagePhoto = (stage) => photos(stage, stageWord(stage), 'photograph', { most: 1, stage });
const figure = (key, label, unit, must = false) => labelled(key, label, 'figure', { unit, must, fold: FIGURES });

/** The forms with what they are called. */
const titled = (forms) =>
  Object.fromEntries(Object.entries(forms).map(([name, form]) => [name, { title: phrase(`title-${keyOf(name)}`), ...form }]));

/** Parts that hold single words. */
export const SINGLES = titled({
  volume: { fields: [
    field('volume/id', 'number', 'text', hint('id')),
    field('volume/title', 'title'), field('volume/maker', 'maker'), field('volume/date', 'made'),
    field('volume/binding', 'binding'),
    field('volume/size', 'size', 'figures', { unit: 'mm', ...hint('size') }),
    field('volume/mass', 'mass', 'number', { unit: 'kg' }),
    field('volume/collation', 'collation', 'long'), field('volume/numbering', 'numbering', 'long'),
    field('volume/description', 'description', 'long')] },
  owner: { fields: [field('owner/name', 'name'), field('owner/contact', 'contact')] },
  studio: { fields: [field('studio/name', 'name'), field('studio/by', 'treated-by'), field('studio/contact', 'contact')] },
  dates: { fields: [
    field('purpose', 'purpose', 'long'),
    field('language', 'language', 'select', { choices: LANGUAGES, ...hint('language') }),
    field('received', 'received', 'date'), field('examined', 'examined', 'date'),
    field('treated/from', 'treated-from', 'date'), field('treated/to', 'treated-to', 'date'),
    field('returned', 'returned', 'date'),
    field('views', 'views', 'texts', hint('views')), field('lamps', 'lamps', 'long')] },
  care: { fields: [field('care', 'care', 'texts', hint('care'))] },
  notes: { fields: [field('notes', 'notes', 'texts', hint('notes'))] },
  sizes: { fields: [
    level('level'),
    ...INPUTS.map(([name, unit]) =>
      labelled(`uncertainty/${name}`, phrase(`input-${name}`), 'figure', { unit, fold: DOUBTS, input: name }))] },
});

/** Parts that are lists of entries. `title`, `one`: how several and one are called; `says(words, name)`:
 * an entry in a line; `name`: the field of the name that an entry is given once. */
export const LISTS = titled({
  pieces: { says: (w) => w.what, name: field(null, 'number'), fields: [
    field('kind', 'kind', KINDS), field('what', 'what-it-is'), field('count', 'how-many', 'number'),
    field('found', 'found'), field('at', 'where'),
    photos('photo', phrase('label-photograph'), 'mark', { most: 1, marks: true }),
    field('kept', 'kept'), field('outcome', 'outcome', OUTCOMES), field('because', 'because', 'long'),
    field('on', 'on', 'date'), field('agreed', 'agreed', 'date')] },
  observations: { says: (w) => [partWord(w.part), w.term ? termWord(w.term) : w.says], fields: [
    part, place, labelled('term', NAMES.term, 'term', { else: 'says' }), field('says', 'in-words', 'long'), basis, on] },
  measurements: { says: (w) => [w.what, [w.value && asFigure(w.value), w.unit].filter(Boolean).join(' ')],
    fields: [field('what', 'what'), field('value', 'value', 'number'), field('unit', 'unit'),
      field('tolerance', 'tolerance', 'number'), field('with', 'with'), labelled('stage', NAMES.stage, STAGES_OF)] },
  tests: { says: (w) => [w.method, w.result], fields: [
    on, place, field('method', 'method', 'long'), field('result', 'result', 'long'),
    field('consumed', 'consumed', [['yes', phrase('yes')], ['no', phrase('no')]]), field('kept', 'kept'),
    field('agreed', 'agreed', 'date')] },
  decisions: { says: (w) => [w.question, w.chosen], fields: [
    on, field('question', 'question', 'long'), field('options', 'considered', 'texts', hint('line')),
    field('chosen', 'chosen', 'long'), field('because', 'because', 'long'), field('risk', 'risk', 'long'), basis,
    photos('about', phrase('label-about'), 'about', { marks: true, pieces: true, parts: true })] },
  proposal: { says: (w) => [partWord(w.part), w.do], fields: [
    part, field('do', 'to-do', 'long'), field('risk', 'risk', 'long'), field('alternative', 'or-else', 'long')] },
  treatment: { says: (w) => [partWord(w.part), w.did], fields: [
    on, field('by', 'by'), part, field('did', 'done', 'long'), field('materials', 'materials', 'long'),
    field('hours', 'hours', 'number'), photos('photos', phrase('label-photographs'), 'photographs'),
    field('differs', 'differs', 'long', hint('differs'))] },
  'estimate/lines': { says: (w) => w.what, fields: [
    field('what', 'for'), field('hours', 'hours', 'number'), field('rate', 'rate', 'number'), field('cost', 'cost', 'number')],
    above: [field('estimate/currency', 'currency', 'text', hint('currency')),
      field('estimate/tax', 'tax', 'number', { unit: '%' })] },
  consents: { says: (w) => [consentTo(w.to), chosenWord(CONSENTS, w.is), w.by && phrase('by-whom', { by: chosenWord(PARTIES, w.by) })], fields: [
    on, field('by', 'by', 'offered', { offer: GIVERS, ...hint('consent-by') }),
    field('to', 'to', 'offered', { offer: CONSENT_TO, ...hint('consent-to') }), field('is', 'it-is', CONSENTS),
    photos('except', phrase('label-but-not'), 'left-out', { marks: true, parts: true }),
    field('scope', 'scope', 'long'), field('how', 'how'), field('until', 'until', 'date')] },
  plates: { none: phrase('entry-no-plates'), says: (w) => [w.title ?? phrase('titled-as-view'), platePhotos(w)],
    fields: [field('title', 'title'), ...['before', 'during', 'after'].map(stagePhoto),
      photos('detail', phrase('label-detail'), 'mark', { most: 1, marks: true })] },
  cards: { says: (w, name) => [name, w.design], name: field(null, 'name', 'text', hint('card-name')),
    fields: [
      field('design', 'design', 'offered', { offer: DESIGNS }),
      field('check-along', 'along', 'number', { unit: phrase('unit-as-measured') }),
      field('check-across', 'across', 'number', { unit: phrase('unit-as-measured') }),
      field('tolerance', 'tolerance', 'number', { unit: 'mm' }), field('measured', 'measured', 'date'),
      level('card-level'),
      field('greys-lab', 'greys', 'colours', { fold: phrase('fold-greys'), ...hint('greys') })] },
  cameras: { says: (w, name) => name, name: field(null, 'camera', 'camera', hint('camera-name')),
    fields: [field('clock-offset', 'clock', 'text', hint('clock'))] },
  lenses: { says: (w) => [w.lens ?? phrase('any-lens'), [w.make, w.model].filter(Boolean).join(' ')],
    fields: [field('make', 'lens-maker'), field('model', 'camera'), field('lens', 'lens'),
      field('focal', 'focal', 'number', { unit: 'mm' }), field('from', 'from', 'long'),
      field('size', 'pictures-of', 'text', { unit: 'px', must: true, fold: FIGURES, ...hint('pixels') }),
      figure('f-px', phrase('label-f'), 'px', true), figure('cx', phrase('label-cx'), 'px', true),
      figure('cy', phrase('label-cy'), 'px', true), figure('k1', 'k1'), figure('k2', 'k2'),
      figure('residual-px', phrase('label-residual'), 'px')] },
});
for (const [name, form] of Object.entries(LISTS))
  Object.assign(form, { one: phrase(`one-${keyOf(name)}`), add: phrase(`add-${keyOf(name)}`) });

/** Of which photographs a plate is. */
function platePhotos(words) {
  const stages = ['before', 'during', 'after'].filter((stage) => words[stage]).map(stageWord);
  return [...stages, ...(words.detail ? [phrase('label-detail')] : [])].join(', ');
}

/** The parts as they stand on the leaf. */
export const ORDER = ['volume', 'owner', 'studio', 'dates', 'pieces', 'observations', 'measurements', 'tests',
  'decisions', 'proposal', 'estimate/lines', 'consents', 'treatment', 'plates', 'care', 'notes', 'sizes', 'cards', 'cameras',
  'lenses'];

/** What is lacking, in words that cannot be missed. */
export const lacksWords = (lacks) => lacks.map((name) => phrase(`lacks-${name}`)).join('; ');

/** A document that has left the studio, in a line. */
export const issuedWords = (words) =>
  phrase('volume-issued', { ...words, document: chosenWord(DOCUMENTS, words.document), to: chosenWord(READERS, words.to) });

/** `name`: of an entry that has one. */
export const summaryOf = (list, words, name = '') =>
  [LISTS[list]?.says(words, name)].flat().filter(Boolean).join(': ').replace('?: ', '? ') || phrase('entry-nothing');

/** What the record says of an entry, in the words that stand beside its fields. */
export const asLabelled = (list, says) => says.replace(/"([a-z][a-z0-9-]*)"/g, (all, key) => phrase('quoted', { words: labelOf(list, key) }));

/** The field of a key; `list` undefined: the volume's own. */
export function rowOf(list, key) {
  const own = [...Object.values(SINGLES).flatMap(({ fields }) => fields), ...LISTS['estimate/lines'].above];
  const rows = list ? LISTS[list]?.fields ?? [] : own;
  return rows.find((row) => row.key === key);
}

/** A key as the leaf has it. */
export const labelOf = (list, key) => rowOf(list, key)?.label ?? key;

/** "Piece P3: pressed fern", of an entry that one of two versions has. */
export function nameOfEntry(name, { mine, theirs }) {
  const list = listOf(name);
  const mark = [mine, theirs].flatMap(({ marks }) => marks).find(({ id }) => id === name);
  return `${capital(LISTS[list]?.one ?? list)}: ${mark ? summaryOf(list, mark.words, entryOf(name)) : name}`;
}
