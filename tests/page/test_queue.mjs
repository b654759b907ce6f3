// Strokes on their way to the disk: none is lost when the server is gone, when its answer is, when
// the window is closed, when somebody else has written, or when one of them cannot stand.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { FakeKeep, FakeServer, once } from './stand_ins.mjs';

const { apply, diff } = await import('../../src/desk/page/edits.js');
const { History } = await import('../../src/desk/page/history.js');
const { Queue } = await import('../../src/desk/page/queue.js');

const blank = (id) => ({ id, words: {}, marks: [] });
const stroke = (photo, ...edits) => ({ photo, edits, says: 'drawn', act: null });
const note = (text, mark = '1') => ({ mark, key: 'note', value: text });

function bench(ids = ['p']) {
  const server = new FakeServer(ids.map(blank), apply);
  const keep = new FakeKeep();
  return { server, keep, queue: new Queue(keep, 'volume/window') };
}

const baseOf = (server, id = 'p') => structuredClone(server.photos.get(id));
const noteOf = (server, id = 'p') => server.photos.get(id).marks.find((mark) => mark.id === '1')?.words.note;

test('strokes reach the server in order and nothing is kept behind', async () => {
  const { server, keep, queue } = bench();
  const base = baseOf(server);
  for (const text of ['a', 'b', 'c']) await queue.add(base, stroke('p', note(text)));
  await queue.run();
  assert.equal(noteOf(server), 'c');
  assert.equal(queue.n, 0);
  assert.deepEqual(await keep.keys('waiting/'), []);
});

test('a stroke is sent once the browser keeps its way back, and is told as unsaved before', async () => {
  const { server, queue } = bench();
  const told = once(queue, 'unsaved');
  let keep;
  const added = queue.add(baseOf(server), stroke('p', note('a')), new Promise((resolve) => { keep = resolve; }));
  assert.equal((await told).n, 1);
  await new Promise((resolve) => { setTimeout(resolve); });
  assert.deepEqual(server.asked, []);
  keep();
  await added;
  await queue.run();
  assert.equal(noteOf(server), 'a');
});

test('a server that is gone is told at once, and gets its strokes when it is back', async () => {
  const { server, keep, queue } = bench();
  server.isGone = true;
  const gone = once(queue, 'gone');
  await queue.add(baseOf(server), stroke('p', note('kept')));
  assert.equal((await gone).n, 1);
  const [[, { strokes }]] = await keep.get('waiting/volume/window');
  assert.equal(strokes[0].edits[0].value, 'kept');
  server.isGone = false;
  await queue.run();
  assert.equal(noteOf(server), 'kept');
});

test('a server that cannot save just now refuses nothing: it is asked again', async () => {
  for (const status of [500, 503]) {
    const { server, queue } = bench();
    server.fails = status;
    queue.addEventListener('refused', () => assert.fail('nothing was refused'));
    const gone = once(queue, 'gone');
    await queue.add(baseOf(server), stroke('p', note('kept')));
    assert.equal((await gone).says, 'not now');
    assert.equal(queue.n, 1);
    await queue.running;
    server.fails = 0;
    await queue.run();
    assert.equal(noteOf(server), 'kept');
  }
});

test('a reload, or another window, takes up what was left', async () => {
  const { server, keep, queue } = bench();
  server.isGone = true;
  await queue.add(baseOf(server), stroke('p', note('left')));
  await queue.running;
  server.isGone = false;
  const next = new Queue(keep, 'volume/another');
  await next.adopt('waiting/volume/window');
  await next.compare('p');
  await next.run();
  assert.equal(noteOf(server), 'left');
  assert.deepEqual(await keep.keys('waiting/'), []);
});

test('an answer lost on its way is no conflict', async () => {
  const { server, queue } = bench();
  server.losesAnswers = 1;
  queue.addEventListener('conflict', () => assert.fail('there is nothing to choose'));
  const gone = once(queue, 'gone');
  await queue.add(baseOf(server), stroke('p', note('once')));
  await gone;
  await queue.running;
  await queue.run();
  assert.equal(queue.n, 0);
  assert.equal(server.photos.get('p').tag, 'tag1');
});

test('a stroke that comes while the browser forgets the one before is no conflict', async () => {
  const { server, keep, queue } = bench();
  let saved = baseOf(server); // as the book knows it
  queue.addEventListener('saved', ({ detail }) => { saved = detail.photo; });
  queue.addEventListener('conflict', () => assert.fail('there is nothing to choose'));
  const remove = keep.remove.bind(keep);
  let second = null;
  keep.remove = async (key) => {
    second ??= queue.add(saved, stroke('p', note('second')));
    await remove(key);
  };
  await queue.add(saved, stroke('p', note('first')));
  await queue.running;
  await second;
  await queue.run();
  assert.equal(noteOf(server), 'second');
  assert.equal(queue.n, 0);
});

test('what somebody else wrote is never written over', async () => {
  const { server, queue } = bench(['p', 'q']);
  const base = baseOf(server);
  server.write('p', [note('theirs')]);
  const conflict = once(queue, 'conflict');
  await queue.add(base, stroke('p', note('mine')));
  await queue.add(baseOf(server, 'q'), stroke('q', note('goes on')));
  const { mine, theirs } = await conflict;
  await queue.run();
  assert.equal(mine.marks[0].words.note, 'mine');
  assert.equal(theirs.marks[0].words.note, 'theirs');
  assert.equal(noteOf(server), 'theirs');
  assert.equal(noteOf(server, 'q'), 'goes on');
  await queue.resolve('p', diff(theirs, mine), 'merged');
  await queue.run();
  assert.equal(noteOf(server), 'mine');
});

test('a stroke that cannot stand takes no other with it', async () => {
  const { server, queue } = bench();
  server.refuses = (edits) => (edits.some(({ value }) => value === 'crosses itself')
    ? { says: 'the outline crosses itself', complaints: [] } : null);
  server.isGone = true;
  const base = baseOf(server);
  for (const text of ['good', 'crosses itself']) await queue.add(base, stroke('p', note(text)));
  await queue.add(base, stroke('p', note('other', '2')));
  await queue.running;
  server.isGone = false;
  const refused = once(queue, 'refused');
  await queue.run();
  assert.equal((await refused).stroke.edits[0].value, 'crosses itself');
  assert.equal(noteOf(server), 'good');
  assert.equal(server.photos.get('p').marks.length, 2);
  assert.equal(queue.n, 0);
});

test('a morning without the server goes in several letters, none too large', async () => {
  const { server, queue } = bench();
  const base = baseOf(server);
  let most = 0;
  server.refuses = (edits) => { most = Math.max(most, edits.length); return null; };
  server.isGone = true;
  for (let i = 1; i <= 150; i++) await queue.add(base, stroke('p', note('a', String(i)), note('b', String(i)), note('c', String(i))));
  await queue.running;
  server.isGone = false;
  await queue.run();
  assert.equal(server.photos.get('p').marks.length, 150);
  assert.ok(most > 3 && most <= 200, `${most} edits at once`);
  assert.equal(queue.n, 0);
});

test('the way back outlives a reload and is cut by a new act', async () => {
  const keep = new FakeKeep();
  const act = (says) => ({ edits: [note(says)], inverse: [note(`not ${says}`)], says });
  const first = await new History(keep, 'v/w/p').load();
  for (const says of ['a', 'b', 'c']) await first.add(act(says));
  assert.equal((await first.back()).says, 'c');
  const second = await new History(keep, 'v/w/p').load();
  assert.equal((await second.back()).edits[0].value, 'not b');
  assert.equal((await second.forth()).says, 'b');
  await second.add(act('d'));
  assert.equal(await second.forth(), null);
  const third = await new History(keep, 'v/w/p').load();
  assert.deepEqual([(await third.back()).says, (await third.back()).says, (await third.back()).says, await third.back()],
    ['d', 'b', 'a', null]);
});

test('undo pressed again before the browser has kept the first takes back two acts, and so does redo', async () => {
  const history = await new History(new FakeKeep(), 'v/w/p').load();
  for (const says of ['a', 'b', 'c'])
    await history.add({ edits: [note(says)], inverse: [note(`not ${says}`)], says });
  const back = await Promise.all([history.back(), history.back()]);
  assert.deepEqual(back.map(({ edits: [edit] }) => edit.value), ['not c', 'not b']);
  const forth = await Promise.all([history.forth(), history.forth()]);
  assert.deepEqual(forth.map(({ edits: [edit] }) => edit.value), ['b', 'c']);
});
