// What is written on the leaf "The volume": its parts in the order in which one fills them in, each a
// table of fields. `kind`: one of volume-fields.js, text where none is said, or a list of choices
// [[word of the record, word of the page]]. `fold`: rows of one name are folded away under it.

import { entryOf, listOf } from './record.js';
import { BASES, STAGES_OF, capital } from './tell.js';

const KINDS = [['part', 'came off'], ['found inside', 'found inside'], ['removed', 'removed']];
const OUTCOMES = [['reattached', 'reattached'], ['replaced in position', 'replaced in position'],
  ['returned to owner', 'returned to owner'], ['housed', 'housed'], ['discarded', 'discarded']];
const CONSENTS = [['asked', 'asked'], ['given', 'given'], ['limited', 'limited'], ['withdrawn', 'withdrawn']];
const CONSENT_TO = ['treatment', 'show publicly'];
const LANGUAGES = [['en', 'English'], ['de', 'German']];
const DESIGNS = [['id1', '85.60 x 53.98 mm, as a bank card'], ['a6', '148 x 105 mm'], ['strip', '150 x 22 mm, for spines and edges']];

/** What `uncertainty` may name: [name, what it is of, its unit]. */
const INPUTS = [['outline', 'an outline\u2019s knots', 'px'], ['outlining', 'all outlines, outwards', 'px'],
  ['corner', 'a corner set by hand', 'px'], ['tag', 'a tag\u2019s corner', 'px'], ['ticks', 'graduations', 'mm'],
  ['rectangle', 'a rectangle\u2019s sides', 'mm'], ['span', 'a length', 'mm'], ['print', 'a printed card', '%'],
  ['plane-offset', 'the level', 'mm'], ['distance', 'camera to card', '%'], ['tilt', 'how it leaned', '\u00b0'],
  ['lens', 'the lens, at the corner', '%']];
const DOUBTS = 'How unsure, where you know it better than the usual';
const FIGURES = 'Its figures, as \u201cplatewright lens\u201d finds them';

const field = (key, label, kind = 'text', more = {}) => ({ key, label, kind, ...more });
const on = field('on', 'date', 'date');
const basis = field('basis', 'known by', BASES);
const part = field('part', 'part', 'part');
const onePhoto = (key, more) => field(key, key, 'photos', { most: 1, ask: 'Choose a photograph', ...more });
const figure = (key, label, unit, must = false) => field(key, label, 'figure', { unit, must, fold: FIGURES });

/** Parts that hold single words. */
export const SINGLES = {
  volume: { title: 'The volume itself', fields: [
    field('volume/id', 'number', 'text', { help: 'Its mark with you: it names what is made of the record.' }),
    field('volume/title', 'title'), field('volume/maker', 'maker'), field('volume/date', 'made'),
    field('volume/binding', 'binding'),
    field('volume/size', 'size', 'text', { unit: 'mm', help: 'Height x width x thickness: 412 x 276 x 61' }),
    field('volume/mass', 'mass', 'number', { unit: 'kg' }),
    field('volume/collation', 'collation', 'long'), field('volume/numbering', 'numbering', 'long'),
    field('volume/description', 'description', 'long')] },
  owner: { title: 'The owner', fields: [field('owner/name', 'name'), field('owner/contact', 'contact')] },
  studio: { title: 'The studio', fields: [
    field('studio/name', 'name'), field('studio/by', 'treated by'), field('studio/contact', 'contact')] },
  dates: { title: 'What for, and when', fields: [
    field('purpose', 'purpose', 'long'),
    field('language', 'language', 'select', { choices: LANGUAGES, help: 'Of plates and documents.' }), field('received', 'received', 'date'), field('examined', 'examined', 'date'),
    field('treated/from', 'treated from', 'date'), field('treated/to', 'treated to', 'date'),
    field('returned', 'returned', 'date'),
    field('views', 'views wanted', 'texts', { help: 'One a line: each is wanted before and after.' }),
    field('lamps', 'lamps', 'long')] },
  care: { title: 'Care', fields: [field('care', 'for the owner', 'texts', { help: 'One advice a line.' })] },
  notes: { title: 'Notes', fields: [field('notes', 'studio only', 'texts', { help: 'One note a line. No owner reads them.' })] },
  sizes: { title: 'How sizes are got', fields: [
    field('plane-offset', 'level', 'level', { help: 'For every photograph and card that says none of its own.' }),
    ...INPUTS.map(([name, label, unit]) => field(`uncertainty/${name}`, label, 'figure', { unit, fold: DOUBTS, input: name }))] },
};

const CARD_NAME = 'As photographs call it: bench, small';
const CAMERA_NAME = 'Maker and model, as the camera writes them into its pictures.';

/** Parts that are lists of entries. `title`, `one`: how several and one are called; `says(words, name)`:
 * an entry in a line; `name`: the field of the name that an entry is given once. */
export const LISTS = {
  pieces: { title: 'Pieces', one: 'piece', says: (w) => w.what, name: field(null, 'number'), fields: [
    field('kind', 'kind', KINDS), field('what', 'what it is'), field('count', 'how many', 'number'),
    field('found', 'found', 'text'), field('at', 'where'),
    onePhoto('photo', { label: 'photograph', marks: true, ask: 'Choose a photograph or mark' }),
    field('kept', 'kept in'), field('outcome', 'outcome', OUTCOMES), field('because', 'because', 'long'),
    field('on', 'on', 'date'), field('agreed', 'agreed on', 'date')] },
  observations: { title: 'What no photograph shows', one: 'observation', says: (w) => [w.part, w.term ?? w.says], fields: [
    part, field('place', 'place'), field('term', 'term', 'term', { else: 'says' }), field('says', 'in words', 'long'), basis, on] },
  measurements: { title: 'Measured by hand', one: 'measurement', says: (w) => [w.what, [w.value, w.unit].filter(Boolean).join(' ')],
    fields: [field('what', 'what'), field('value', 'value', 'number'), field('unit', 'unit'),
      field('tolerance', 'give or take', 'number'), field('with', 'with'), field('stage', 'stage', STAGES_OF)] },
  tests: { title: 'Tests and samples', one: 'test', says: (w) => [w.method, w.result], fields: [
    on, field('place', 'place'), field('method', 'method', 'long'), field('result', 'result', 'long'),
    field('consumed', 'consumed', [['yes', 'yes'], ['no', 'no']]), field('kept', 'kept in'),
    field('agreed', 'agreed on', 'date')] },
  decisions: { title: 'Decisions', one: 'decision', says: (w) => [w.question, w.chosen], fields: [
    on, field('question', 'question', 'long'), field('options', 'considered', 'texts', { help: 'One a line.' }),
    field('chosen', 'chosen', 'long'), field('because', 'because', 'long'), field('risk', 'risk', 'long'), basis,
    field('about', 'about', 'photos', { marks: true, pieces: true, parts: true, ask: 'Choose what it is about' })] },
  proposal: { title: 'Proposal', one: 'proposed step', says: (w) => [w.part, w.do], fields: [
    part, field('do', 'to be done', 'long'), field('risk', 'risk', 'long'),
    field('alternative', 'or else', 'long')] },
  treatment: { title: 'Treatment', one: 'step of treatment', says: (w) => [w.part, w.did], fields: [
    on, field('by', 'by'), part, field('did', 'done', 'long'), field('materials', 'materials', 'long'),
    field('hours', 'hours', 'number'), field('photos', 'photographs', 'photos', { ask: 'Choose photographs' }),
    field('differs', 'differs', 'long', { help: 'From what was proposed, and why.' })] },
  'estimate/lines': { title: 'Estimate', one: 'line of the estimate', says: (w) => w.what, fields: [
    field('what', 'for'), field('hours', 'hours', 'number'), field('rate', 'rate an hour', 'number'),
    field('cost', 'or a cost', 'number')],
    above: [field('estimate/currency', 'currency', 'text', { help: 'Three letters: EUR, GBP' }),
      field('estimate/tax', 'tax', 'number', { unit: '%' })] },
  consents: { title: 'Consents', one: 'consent', says: (w) => [w.to, w.is, w.by && `by ${w.by}`], fields: [
    on, field('by', 'by'), field('to', 'to', 'offered', { offer: CONSENT_TO }), field('is', 'it is', CONSENTS),
    field('except', 'but not', 'photos', { marks: true, parts: true, ask: 'Choose what is left out' }),
    field('scope', 'scope', 'long'), field('how', 'how'), field('until', 'until', 'date')] },
  plates: { title: 'Plates', one: 'plate', none: 'None is asked for: one is made for each view.',
    says: (w) => [w.title ?? 'titled as its view', ['before', 'during', 'after', 'detail'].filter((key) => w[key]).join(', ')],
    fields: [field('title', 'title'), onePhoto('before', { stage: 'before' }), onePhoto('during', { stage: 'during' }),
      onePhoto('after', { stage: 'after' }),
      onePhoto('detail', { marks: true, ask: 'Choose a photograph or mark' })] },
  cards: { title: 'Cards', one: 'card', says: (w, name) => [name, w.design], name: field(null, 'name', 'text', { help: CARD_NAME }),
    fields: [
      field('design', 'which card', 'offered', { offer: DESIGNS }),
      field('check-along', 'line along it', 'number', { unit: 'mm, as you measured it' }),
      field('check-across', 'line across it', 'number', { unit: 'mm, as you measured it' }),
      field('tolerance', 'give or take', 'number', { unit: 'mm' }), field('measured', 'measured', 'date'),
      field('plane-offset', 'level', 'level', { help: 'Where it lies, unless the photograph says so itself.' }),
      field('greys-lab', 'its greys', 'colours', { fold: 'Its grey steps, where they were measured',
        help: 'One step a line, L a b in CIELAB: 95.1 -0.4 1.2' })] },
  cameras: { title: 'Cameras', one: 'camera', says: (w, name) => name,
    name: field(null, 'camera', 'camera', { help: CAMERA_NAME }),
    fields: [field('clock-offset', 'its clock', 'text', { help: 'Hours ahead of Greenwich that it was set to, as in +01:00. Only for cameras that do not say so themselves.' })] },
  lenses: { title: 'Lenses', one: 'lens', says: (w) => [w.lens ?? 'any lens', [w.make, w.model].filter(Boolean).join(' ')],
    fields: [field('make', 'maker'), field('model', 'camera'), field('lens', 'lens'),
      field('focal', 'focal length', 'number', { unit: 'mm' }), field('from', 'found from', 'long'),
      field('size', 'pictures of', 'text', { unit: 'px', must: true, fold: FIGURES, help: 'Width x height: 6000 x 4000' }),
      figure('f-px', 'distance (f)', 'px', true), figure('cx', 'centre, x', 'px', true), figure('cy', 'centre, y', 'px', true),
      figure('k1', 'k1'), figure('k2', 'k2'), figure('residual-px', 'left unsure', 'px')] },
};

/** The parts as they stand on the leaf. */
export const ORDER = ['volume', 'owner', 'studio', 'dates', 'pieces', 'observations', 'measurements', 'tests',
  'decisions', 'proposal', 'estimate/lines', 'consents', 'treatment', 'plates', 'care', 'notes', 'sizes', 'cards', 'cameras',
  'lenses'];

/** What is lacking, in words that cannot be missed. */
export const LACKS = {
  outcome: 'nothing says what became of it',
  reason: 'it was discarded, and nothing says why',
  consent: 'it was discarded, and no consent to it is recorded',
  place: 'it is housed, and nothing says where',
  date: 'nothing says when',
};

/** `name`: of an entry that has one. */
export const summaryOf = (list, words, name = '') =>
  [LISTS[list]?.says(words, name)].flat().filter(Boolean).join(': ').replace('?: ', '? ') || 'nothing written yet';

/** What the record says of an entry, in the words that stand beside its fields. */
export const asLabelled = (list, says) => says.replace(/"([a-z][a-z0-9-]*)"/g, (all, key) => `\u201c${labelOf(list, key)}\u201d`);

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
