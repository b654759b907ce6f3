// The leaf "The volume" beside docs/formats.md, which the unit tests hold against the reader's own
// tables: every key that volume.yaml may have can be read and written there, and no other.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import './stand_ins.mjs';

const { LISTS, ORDER, SINGLES, summaryOf } = await import('../../src/desk/page/volume-forms.js');

const doc = (name) => readFileSync(new URL(`../../docs/${name}`, import.meta.url), 'utf8');
const keysOf = (table) => [...table.matchAll(/^\| `([^`]+)` \|/gm)].map(([, key]) => key);

/** Heading -> keys, of what formats.md has for volume.yaml. */
const [first, ...rest] = doc('formats.md').split(/^## volume\.yaml$/m)[1].split(/^## /m)[0].split(/^### /m);
const told = new Map(rest.map((section) => [section.split('\n')[0].replaceAll('`', ''), keysOf(section)]));
const SECTIONS = { pieces: 'a piece', observations: 'an observation', measurements: 'a measurement', tests: 'a test',
  decisions: 'a decision', proposal: 'a proposed step', treatment: 'a step of treatment', 'estimate/lines': 'a line of the estimate',
  consents: 'a consent', plates: 'a plate', cards: 'a card', cameras: 'a camera', lenses: 'a lens' };
const NESTED = { volume: 'volume', owner: 'owner', studio: 'studio', treated: 'treated', estimate: 'estimate' };
const NOT_BY_HAND = ['format', 'issued']; // set at intake; written by `report --issue`

test('an entry of every list has a field for every key', () => {
  assert.deepEqual(Object.keys(SECTIONS).sort(), Object.keys(LISTS).sort());
  for (const [list, { fields }] of Object.entries(LISTS)) {
    const wanted = told.get(SECTIONS[list]).filter((key) => !(list === 'pieces' && key === 'id')); // its name
    assert.deepEqual(fields.map(({ key }) => key).sort(), wanted.sort(), list);
  }
  for (const list of ['pieces', 'cards', 'cameras']) assert.ok(LISTS[list].name, `${list} are called by a name`);
});

test('every other key of volume.yaml has a field, and every part is on the leaf', () => {
  const all = [...Object.values(SINGLES).flatMap(({ fields }) => fields), ...LISTS['estimate/lines'].above].map(({ key }) => key);
  const own = keysOf(first).filter((key) => !NOT_BY_HAND.includes(key) && !LISTS[key] && !NESTED[key] && key !== 'uncertainty');
  const below = Object.entries(NESTED).flatMap(([key, section]) => told.get(section).map((name) => `${key}/${name}`))
    .filter((key) => key !== 'estimate/lines');
  const inputs = doc('measuring.md').split(/^\| input.*$/m)[1].split(/\n\n/)[0];
  const figures = [...inputs.matchAll(/^\| ([a-z][a-z, -]+) \|/gm)].flatMap(([, names]) => names.split(', ')).map((name) => `uncertainty/${name}`);
  assert.ok(figures.length > 10, `${figures.length} inputs`);
  assert.deepEqual(all.toSorted(), [...own, ...below, ...figures].toSorted());
  assert.deepEqual(ORDER.toSorted(), [...Object.keys(SINGLES), ...Object.keys(LISTS)].toSorted());
});

test('an entry is told in a line, also where little is written', () => {
  assert.equal(summaryOf('plates', { before: 'a.jpg', after: 'b.jpg' }), 'titled as its view: before, after');
  assert.equal(summaryOf('cards', { design: 'a6' }, 'bench'), 'bench: a6');
  assert.equal(summaryOf('cards', {}, 'bench'), 'bench');
  assert.equal(summaryOf('cameras', { 'clock-offset': 'Z' }, 'Larkfield LF-12'), 'Larkfield LF-12');
  assert.equal(summaryOf('decisions', { question: 'Keep it?', chosen: 'yes' }), 'Keep it? yes');
  assert.equal(summaryOf('tests', {}), 'nothing written yet');
});
