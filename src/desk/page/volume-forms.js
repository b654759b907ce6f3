// What is written on the leaf "The volume": its parts in the order in which one fills them in, each a
// table of fields. `kind`: text (the usual), long, date, texts (one a line), number, yes, or a list of
// choices [[word of the record, word of the page]].

import { listOf } from './record.js';
import { BASES, STAGES_OF, capital } from './tell.js';

const KINDS = [['part', 'came off'], ['found inside', 'found inside'], ['removed', 'removed']];
const OUTCOMES = [['reattached', 'reattached'], ['replaced in position', 'replaced in position'],
  ['returned to owner', 'returned to owner'], ['housed', 'housed'], ['discarded', 'discarded']];
const CONSENTS = [['asked', 'asked'], ['given', 'given'], ['limited', 'limited'], ['withdrawn', 'withdrawn']];
const CONSENT_TO = 'treatment, show publicly, or in your own words';

const field = (key, label, kind = 'text', more = {}) => ({ key, label, kind, ...more });
const on = field('on', 'date', 'date');
const basis = field('basis', 'known by', BASES);

/** Parts that hold single words. */
export const SINGLES = {
  volume: { title: 'The volume itself', fields: [
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
    field('purpose', 'purpose', 'long'), field('received', 'received', 'date'), field('examined', 'examined', 'date'),
    field('treated/from', 'treated from', 'date'), field('treated/to', 'treated to', 'date'),
    field('returned', 'returned', 'date'),
    field('views', 'views wanted', 'texts', { help: 'One a line: each is wanted before and after.' }),
    field('lamps', 'lamps', 'long')] },
  care: { title: 'Care', fields: [field('care', 'for the owner', 'texts', { help: 'One advice a line.' })] },
  notes: { title: 'Notes', fields: [field('notes', 'studio only', 'texts', { help: 'One note a line. No owner reads them.' })] },
};

/** Parts that are lists of entries. `title`, `one`: how several and one are called; `says(words)`: an
 * entry in a line. */
export const LISTS = {
  pieces: { title: 'Pieces', one: 'piece', says: (w) => w.what, fields: [
    field('kind', 'kind', KINDS), field('what', 'what it is'), field('count', 'how many', 'number'),
    field('found', 'found', 'text'), field('at', 'where'), field('photo', 'photograph', 'photo'),
    field('kept', 'kept in'), field('outcome', 'outcome', OUTCOMES), field('because', 'because', 'long'),
    field('on', 'on', 'date'), field('agreed', 'agreed on', 'date')] },
  observations: { title: 'What no photograph shows', one: 'observation', says: (w) => [w.part, w.term ?? w.says], fields: [
    field('part', 'part'), field('place', 'place'), field('term', 'term'), field('says', 'in words', 'long'), basis, on] },
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
    field('about', 'about', 'texts', { help: 'Pieces or marks, one a line: P3, or before/FILE.jpg#2' })] },
  proposal: { title: 'Proposal', one: 'proposed step', says: (w) => [w.part, w.do], fields: [
    field('part', 'part'), field('do', 'to be done', 'long'), field('risk', 'risk', 'long'),
    field('alternative', 'or else', 'long')] },
  treatment: { title: 'Treatment', one: 'step of treatment', says: (w) => [w.part, w.did], fields: [
    on, field('by', 'by'), field('part', 'part'), field('did', 'done', 'long'), field('materials', 'materials', 'long'),
    field('hours', 'hours', 'number'), field('photos', 'photographs', 'texts', { help: 'Files, one a line.' }),
    field('differs', 'differs', 'long', { help: 'From what was proposed, and why.' })] },
  'estimate/lines': { title: 'Estimate', one: 'line of the estimate', says: (w) => w.what, fields: [
    field('what', 'for'), field('hours', 'hours', 'number'), field('rate', 'rate an hour', 'number'),
    field('cost', 'or a cost', 'number')],
    above: [field('estimate/currency', 'currency', 'text', { help: 'Three letters: EUR, GBP' }),
      field('estimate/tax', 'tax', 'number', { unit: '%' })] },
  consents: { title: 'Consents', one: 'consent', says: (w) => [w.to, w.is, w.by && `by ${w.by}`], fields: [
    on, field('by', 'by'), field('to', 'to', 'text', { help: CONSENT_TO }), field('is', 'it is', CONSENTS),
    field('except', 'but not', 'texts', { help: 'Photographs, marks or parts, one a line.' }),
    field('scope', 'scope', 'long'), field('how', 'how'), field('until', 'until', 'date')] },
};

/** The parts as they stand on the leaf. */
export const ORDER = ['volume', 'owner', 'studio', 'dates', 'pieces', 'observations', 'measurements', 'tests',
  'decisions', 'proposal', 'estimate/lines', 'consents', 'treatment', 'care', 'notes'];

/** What is lacking, in words that cannot be missed. */
export const LACKS = {
  outcome: 'nothing says what became of it',
  reason: 'it was discarded, and nothing says why',
  consent: 'it was discarded, and no consent to it is recorded',
  place: 'it is housed, and nothing says where',
  date: 'nothing says when',
};

export const summaryOf = (list, words) =>
  [LISTS[list]?.says(words)].flat().filter(Boolean).join(': ').replace('?: ', '? ') || 'nothing written yet';

/** What the record says of an entry, in the words that stand beside its fields. */
export const asLabelled = (list, says) => says.replace(/"([a-z]+)"/g, (all, key) => `\u201c${labelOf(list, key)}\u201d`);

/** A key as the leaf has it; `list` undefined: the volume's own. */
export function labelOf(list, key) {
  const own = [...Object.values(SINGLES).flatMap(({ fields }) => fields), ...LISTS['estimate/lines'].above];
  const rows = list ? LISTS[list]?.fields ?? [] : own;
  return rows.find((row) => row.key === key)?.label ?? key;
}

/** "Piece P3: pressed fern", of an entry that one of two versions has. */
export function nameOfEntry(name, { mine, theirs }) {
  const list = listOf(name);
  const mark = [mine, theirs].flatMap(({ marks }) => marks).find(({ id }) => id === name);
  return `${capital(LISTS[list]?.one ?? list)}: ${mark ? summaryOf(list, mark.words) : name}`;
}
