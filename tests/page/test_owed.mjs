// What the check finds and what is owed: the same thing stands once, and what is neither is told apart.
import assert from 'node:assert/strict';
import { beforeEach, test } from 'node:test';
import './stand_ins.mjs';

const { book } = await import('../../src/desk/page/book.js');
const { owedWords, sortFindings } = await import('../../src/desk/page/owed.js');

const owe = (photo, what, says = what) => ({ photo, what, says });
const finding = (file, kind, says = kind, severity = 'warning') => ({ file, kind, says, severity });

beforeEach(() => {
  book.volume = { photos: [{ id: 'a', file: 'before/A.jpg' }, { id: 'b', file: 'before/B.jpg' }], owed: [] };
});

const beyond = (findings, owed) => sortFindings(findings, owed).beyond.map(({ file, says }) => `${file}: ${says}`);

test('a finding that says what is owed of its photograph is no second thing', () => {
  const owed = [owe('a', 'undecided', '2 terms are not decided yet'), owe('b', 'not looked through'), owe('b', 'no scale')];
  const findings = [
    finding('before/A.jpg.yaml', 'undecided', 'what this is has not been decided yet'),
    finding('before/A.jpg.yaml', 'undecided', 'what this is has not been decided yet'),
    finding('before/B.jpg.yaml', 'not looked through', 'nobody has looked it through'),
    finding('before/B.jpg', 'no size'),
  ];
  assert.deepEqual(beyond(findings, owed), []);
});

test('of another photograph, of another kind, or where nothing is owed, it is one', () => {
  const owed = [owe('a', 'undecided')];
  const findings = [
    finding('before/B.jpg.yaml', 'undecided'),
    finding('before/A.jpg.yaml', 'no size'),
    finding('volume.yaml', 'no consent', 'treated without consent', 'error'),
  ];
  assert.deepEqual(beyond(findings, owed), [
    'before/B.jpg.yaml: undecided',
    'before/A.jpg.yaml: no size',
    'volume.yaml: treated without consent',
  ]);
});

test('a note wants nothing done, and is left to the command', () => {
  assert.deepEqual(beyond([finding('before/A.jpg.yaml', 'not followed', 'no mark follows it', 'note')], []), []);
});

test('a view that is missing is told by its words, for it has no photograph', () => {
  const owed = [owe(null, 'no photograph', 'there is no photograph of the spine')];
  const findings = ['spine', 'tail'].map((view) =>
    finding('volume.yaml', 'view missing', `there is no photograph of the ${view}`),
  );
  assert.deepEqual(beyond(findings, owed), ['volume.yaml: there is no photograph of the tail']);
});

test('an open piece is told by its words, and how many are open is no other thing', () => {
  const owed = [{ ...owe(null, 'piece open', 'P6 is not accounted for'), piece: { id: 'P6', lacks: ['outcome'] } }];
  const findings = [finding('volume.yaml', 'piece open', 'P6 is not accounted for'), finding('volume.yaml', 'not complete', '1 of 6'),
    finding('volume.yaml', 'piece open', 'P7 is not accounted for')];
  assert.deepEqual(beyond(findings, owed), ['volume.yaml: P7 is not accounted for']);
});

test('an error in a text is told with the fault that is owed', () => {
  const wrong = finding('before/A.jpg.yaml', 'unknown key', 'there is no key `foo`', 'error');
  const { beyond: rest, details } = sortFindings([wrong, finding('before/A.jpg.yaml', 'dull')], [owe('a', 'fault')]);
  assert.deepEqual(rest.map(({ says }) => says), ['dull']);
  assert.deepEqual(details.get('a'), ['there is no key `foo`']);
});

test('one count of things, in one wording', () => {
  assert.equal(owedWords(), '');
  book.volume.owed = [owe('a', 'undecided')];
  assert.equal(owedWords(), '1 thing still to do');
  book.volume.owed.push(owe('a', 'no scale'));
  assert.equal(owedWords(), '2 things still to do');
});
