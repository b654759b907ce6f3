// Entries that are called by their place: what still speaks of them is renamed when places change, and
// two versions are laid side by side entry by entry.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import './stand_ins.mjs';
import { apply, diff } from '../../src/desk/page/edits.js';

const { VOLUME, aligned, asSent, asState, entryOf, listOf, newName, renamed, renaming } =
  await import('../../src/desk/page/record.js');

/** A small generator of numbers, the same ones on every machine (Park and Miller 1988). */
function chance(start) {
  let state = start;
  return (n) => {
    state = (state * 48271) % 2147483647;
    return state % n;
  };
}

const answer = (steps, pieces = []) => ({ tag: 't', words: {}, entries: [
  ...pieces.map(([entry, words]) => ({ list: 'pieces', entry, words })),
  ...steps.map((words, i) => ({ list: 'treatment', entry: String(i), words }))] });
const state = (...more) => asState(VOLUME, answer(...more));
const stepsOf = ({ marks }) => marks.filter(({ id }) => listOf(id) === 'treatment').map(({ words }) => words);

/** What the server does (pw_volume_edit): places are those that were read, what is new comes last. */
function written(before, edits) {
  const names = (list) => before.marks.filter(({ id }) => listOf(id) === list);
  const own = names('treatment').map(({ words }) => ({ ...words }));
  const gone = new Set();
  const fresh = new Map();
  for (const { list, entry, key, value } of asSent(VOLUME, edits)) {
    if (list !== 'treatment') continue;
    if (key === null) {
      if (entry.startsWith('+')) fresh.delete(entry);
      else gone.add(Number(entry));
      continue;
    }
    if (entry.startsWith('+') && !fresh.has(entry)) fresh.set(entry, {});
    const words = entry.startsWith('+') ? fresh.get(entry) : own[Number(entry)];
    if (value === null) delete words[key];
    else words[key] = value;
  }
  return state([...own.filter((_, i) => !gone.has(i)), ...fresh.values()]);
}

test('an entry is sent by its list and its name', () => {
  assert.deepEqual(asSent(VOLUME, [{ key: 'purpose', value: 'x' }, { mark: 'cards a b/c', key: 'design', value: 'a6' }, { mark: 'estimate/lines 2', key: null, value: null }]), [
    { key: 'purpose', value: 'x' }, { list: 'cards', entry: 'a b/c', key: 'design', value: 'a6' },
    { list: 'estimate/lines', entry: '2', key: null, value: null }]);
});

test('whatever is written in letters, one after another, is what is written at once', () => {
  for (let seed = 1; seed < 400; seed += 1) {
    const roll = chance(seed);
    let server = state(Array.from({ length: roll(5) }, (_, i) => ({ did: `d${i}` })));
    let shown = server;
    let later = []; // edits by the names that the page has for entries
    for (let letter = 0; letter < 6; letter += 1) {
      for (let n = 1 + roll(4); n > 0; n -= 1) {
        const { marks } = apply(shown, later);
        const there = marks[roll(marks.length + 1)];
        const mark = there?.id ?? newName('treatment');
        const goes = there !== undefined && roll(4) === 0;
        later.push(goes ? { mark, key: null, value: null } : { mark, key: 'did', value: `v${roll(99)}` });
      }
      const meanwhile = apply(shown, later).marks; // a hand that writes while the letter is on its way
      const waits = meanwhile.length > 0 ? [{ mark: meanwhile[roll(meanwhile.length)].id, key: 'hours', value: String(letter) }] : [];
      const wanted = stepsOf(apply(apply(shown, later), waits));
      const names = renaming(server, later);
      server = written(server, later);
      shown = server;
      later = [];
      const then = apply(shown, renamed(waits, names));
      assert.deepEqual(stepsOf(then), wanted, `seed ${seed}, letter ${letter}`);
      server = written(server, renamed(waits, names));
      shown = server;
    }
  }
});

test('an entry that went has a name by which it comes back as new', () => {
  const before = state([{ did: 'a' }, { did: 'b' }]);
  const away = [{ mark: 'treatment 0', key: null, value: null }];
  const inverse = diff(apply(before, away), before);
  const names = renaming(before, away);
  assert.equal(names.get('treatment 1'), 'treatment 0');
  const back = renamed(inverse, names);
  assert.match(entryOf(back[0].mark), /^\+/);
  const after = written(written(before, away), back);
  assert.deepEqual(stepsOf(after), [{ did: 'b' }, { did: 'a' }]);
});

test('their version is laid beside ours by what entries say, not by where they stand', () => {
  const by = 'M. T.'; // says nothing of which one it is
  const base = state([{ by, did: 'a', hours: '1' }, { by, did: 'b', hours: '2' }, { by, did: 'c' }], [['P1', { what: 'x' }]]);
  const now = state([{ by, did: 'c', hours: '9' }, { by, did: 'b', hours: '3' }, { by, did: 'c' }], [['P1', { what: 'y' }]]);
  const { state: theirs, places } = aligned(base, now);
  const word = (id) => theirs.marks.find((mark) => mark.id === id)?.words;
  assert.equal(word('treatment 0'), undefined, 'a has gone');
  assert.deepEqual(word('treatment 1'), { by, did: 'b', hours: '3' });
  assert.deepEqual(word('treatment 2'), { by, did: 'c' });
  assert.deepEqual(word('pieces P1'), { what: 'y' });
  assert.equal(places.get('treatment 1'), 'treatment 1');
  assert.equal(places.get('treatment 2'), 'treatment 2');
  assert.equal(theirs.marks.filter(({ id }) => entryOf(id).startsWith('+')).length, 1, 'one is new');
});
