// What the page says: phrases with their blanks, one or many, the record's own words, days and figures.
import assert from 'node:assert/strict';
import { test } from 'node:test';

const words = {
  language: 'de', decimal: ',', date: '{day}. {month} {year}',
  months: ['Januar', 'Februar', 'März', 'April', 'Mai', 'Juni', 'Juli', 'August', 'September', 'Oktober', 'November', 'Dezember'],
  phrases: { undecided: 'unbestimmt', 'day-none': 'ohne Tag', 'marks-one': '{n} Markierung', 'marks-many': '{n} Markierungen',
    'name-card': 'Karte {name}', swap: 'Swap', 'key-ctrl': 'Strg', 'key-shift': 'Umschalt' },
  missing: ['desk-swap'], why: null,
  terms: { tear: 'Riss' }, parts: { leaf: 'Blatt' }, views: { spine: 'Rücken' }, lights: { normal: 'Normallicht' },
};
globalThis.document = { querySelector: () => ({ textContent: JSON.stringify(words) }) };
const { dayOf, dayWords, figure, keyName, language, learnTerms, lightWord, missing, partWord, phrase, termWord, typed, viewWord } =
  await import('../../src/desk/page/phrases.js');

test('a phrase is filled in, and counted', () => {
  assert.equal(phrase('name-card', { name: '{n} $& bench' }), 'Karte {n} $& bench');
  assert.equal(phrase('name-card'), 'Karte {name}');
  assert.deepEqual([0, 1, 2, '1', 11].map((n) => phrase('marks', { n })),
    ['0 Markierungen', '1 Markierung', '2 Markierungen', '1 Markierung', '11 Markierungen']);
});

test('what the language lacks is English and told; what nobody has is its key', () => {
  assert.equal(phrase('swap'), 'Swap');
  assert.deepEqual([language, missing], ['de', ['desk-swap']]);
  assert.equal(phrase('no-such-word', { n: 3 }), 'no-such-word');
});

test('the record\'s own words are the language\'s where it has them', () => {
  learnTerms([{ name: 'tear', synonyms: ['rent'] }, { name: 'own word', synonyms: [] }]);
  assert.deepEqual(['tear', 'rent', 'own word', 'undecided', undefined].map(termWord), ['Riss', 'Riss', 'own word', 'unbestimmt', 'unbestimmt']);
  assert.deepEqual([partWord('leaf'), partWord('hinge'), viewWord('spine'), viewWord('f. 3'), lightWord('normal')],
    ['Blatt', 'hinge', 'Rücken', 'f. 3', 'Normallicht']);
});

test('days and figures are written as the language does, and read so; the record keeps its points', () => {
  assert.equal(dayOf('2026-03-02T23:14:07+01:00'), '2. März 2026');
  assert.equal(dayOf(null), 'ohne Tag');
  assert.deepEqual(['2026-03-02', 'March', undefined].map(dayWords), ['2. März 2026', 'March', '']);
  assert.deepEqual(['12.5', '-0.36', '412 x 276.5', 'thickness', '1.', 7.25].map(figure), ['12,5', '-0,36', '412 x 276,5', 'thickness', '1.', '7,25']);
  assert.deepEqual(['12,5', '12.5', '-0,36', '12,', 'a, b', 'thickness', ''].map(typed), ['12.5', '12.5', '-0.36', '12', 'a, b', 'thickness', '']);
});

test('keys are called what is printed on them', () => {
  assert.deepEqual(['Ctrl+Shift+z', '+', 'F6', 'Shift+F6', 'c'].map(keyName), ['Strg+Umschalt+z', '+', 'F6', 'Umschalt+F6', 'c']);
});
