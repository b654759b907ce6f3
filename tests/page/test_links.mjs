// What marks say of each other: which links are offered, what is written for them, and what goes with a mark.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import './stand_ins.mjs';
import { afterOf, fittingPhotos, hangingOn, idsLedTo, linkEdits, linksAmong, madeGood, pointingAt, whyNot, withoutLink, withoutMarks }
  from '../../src/desk/page/links.js';

const area = { outline: '0,0 9,0 9,9' };
const mark = (id, words, kind = 'area') => ({ id, kind, number: null, words });
const photo = (id, stage, marks = [], more = {}) => ({ id, file: `${id}.jpg`, stage, view: 'spine', place: null, marks, ...more });
const said = ({ links, ...rest }) => ({ ...rest, links: links.map((link) => ({ number: link.mark, gone: false, stands: true, to: {}, ...link })) });

const before = photo('b', 'before', [mark('1', { term: 'loss', part: 'leaf', ...area }), mark('2', { term: 'tear', line: '0,0 9,9' }, 'line')]);
const after = photo('a', 'after', [
  mark('1', { term: 'undecided', ...area }),
  mark('2', { term: 'loss', part: 'leaf', earlier: 'b.jpg#1', gone: 'yes' }),
  mark('3', { term: 'loss', 'same-as': 'a.jpg#2', earlier: 'b.jpg#9' }),
]);

test('a number that a link leads to is nobody\u2019s to take, broken or not', () => {
  const links = linksAmong(said({ links: [] }), [before, after]);
  assert.deepEqual(idsLedTo(links, 'b.jpg').sort(), ['1', '9']);
  assert.deepEqual(idsLedTo(links, 'a.jpg'), ['2']);
  assert.deepEqual(idsLedTo(links, 'a.jp'), []);
});

test('links are those that stand on the photographs now, and the record\u2019s where these are not shown', () => {
  const volume = said({ links: [
    { photo: 'a', mark: '7', key: 'earlier', reference: 'b.jpg#1', to: { photo: 'b', mark: '1' } }, // not on it any more
    { photo: 'a', mark: '3', key: 'earlier', reference: 'b.jpg#9', stands: false },
    { photo: 'c', mark: '1', key: 'earlier', reference: 'b.jpg#2', to: { photo: 'b', mark: '2' } },
    { photo: 'c', mark: '2', key: 'earlier', reference: 'b.jpg#1', stands: false, to: { photo: 'b', mark: '1' } },
  ] });
  const links = linksAmong(volume, [before, after]);
  assert.deepEqual(links.map(({ photo: p, mark: m, key, stands }) => [p, m, key, stands].join(' ')),
    ['a 2 earlier true', 'a 3 same-as true', 'a 3 earlier false', 'c 1 earlier true', 'c 2 earlier false']);
  const gone = linksAmong(volume, [{ ...before, marks: [] }, after]);
  assert.deepEqual(gone.filter(({ stands }) => stands).map(({ key }) => key), ['same-as'], 'a mark taken away a moment ago');
});

test('a mark goes alone, with what points at it unlinked, or with all that hangs on it; what is made good goes with its link', () => {
  const links = linksAmong({ links: [] }, [before, after]);
  const one = { photo: 'b', mark: '1' };
  assert.deepEqual(pointingAt(links, 'b', '1').map(({ mark: id }) => id), ['2']);
  assert.deepEqual(hangingOn(links, 'b', '1').map(({ mark: id }) => id), ['2', '3']);
  assert.deepEqual(withoutMarks(links, [one]), [
    { photo: 'a', edits: [{ mark: '2', key: 'earlier', value: null }] },
    { photo: 'b', edits: [{ mark: '1', key: null, value: null }] }]);
  assert.deepEqual(withoutLink(links, links.find(({ gone }) => gone)), [{ photo: 'a', edits: [
    { mark: '3', key: 'same-as', value: null }, { mark: '2', key: null, value: null }] }]);
});

test('what could not stand is not offered, and says why', () => {
  const at = (where, id) => ({ photo: where, mark: where.marks.find((one) => one.id === id) });
  const links = linksAmong({ links: [] }, [before, after]);
  const why = (key, here, there) => whyNot(key, here, there, links);
  const free = linksAmong({ links: [] }, [before, { ...after, marks: after.marks.slice(0, 1) }]);
  assert.equal(whyNot('later', at(before, '1'), at(after, '1'), free), null);
  assert.equal(whyNot('earlier', at(after, '1'), at(before, '1'), free), null);
  assert.match(why('later', at(before, '1'), at(after, '1')), /made good/, 'it cannot be there as well');
  assert.match(why('earlier', at(after, '1'), at(before, '1')), /made good/);
  const lost = { ...after, marks: [mark('1', { term: 'loss', ...area, earlier: 'b.jpg#1' }),
    mark('2', { term: 'loss', earlier: 'b.jpg#99', gone: 'yes' }, 'area')] }; // its link is broken
  assert.match(whyNot('later', at(before, '1'), at(lost, '2'), linksAmong({ links: [] }, [before, lost])), /still there/);
  assert.match(why('later', at(before, '2'), at(after, '1')), /area/);
  assert.match(why('later', at(before, '1'), at(after, '2')), /already/);
  assert.match(why('same-as', at(before, '1'), at(after, '1')), /stage/);
  assert.match(why('later', at(after, '1'), at(before, '1')), /stage/);
  const also = (words, kind) => ({ photo: photo('d', 'before'), mark: mark('1', { ...area, ...words }, kind) });
  assert.equal(why('same-as', at(before, '1'), also({ term: 'loss', part: 'leaf' })), null);
  assert.match(why('same-as', at(before, '1'), also({ term: 'stain', part: 'leaf' })), /name/);
  assert.match(why('same-as', at(before, '1'), also({ term: 'loss' })), /part/);
  assert.match(why('same-as', at(before, '1'), also({ term: 'loss', part: 'leaf' }, 'line')), /line/);
  const [a, b] = ['d', 'e'].map((id, i) => photo(id, 'before', [mark('1', { term: 'loss', ...area, ...(i && { 'same-as': 'd.jpg#1' }) })]));
  assert.match(whyNot('same-as', at(a, '1'), at(b, '1'), linksAmong({ links: [] }, [a, b])), /already/, 'a circle');
});

test('what is written: with the after photograph; who is undecided takes the name along', () => {
  const here = { photo: before, mark: before.marks[0] };
  assert.deepEqual(linkEdits('later', here, { photo: after, mark: after.marks[0] }), { photo: 'a', edits: [
    { mark: '1', key: 'term', value: 'loss' }, { mark: '1', key: 'part', value: 'leaf' }, { mark: '1', key: 'earlier', value: 'b.jpg#1' }] });
  assert.deepEqual(madeGood(here, after, '4').edits.map(({ key, value }) => `${key}: ${value}`),
    ['term: loss', 'part: leaf', 'earlier: b.jpg#1', 'gone: yes']);
});

test('the likeliest photograph comes first: the pair, the same face, the same view', () => {
  const all = [photo('x', 'after', [], { view: 'head' }), photo('y', 'after'), photo('z', 'after', [], { place: 'f. 2' }), before];
  assert.deepEqual(fittingPhotos('later', before, all).map(({ id }) => id), ['y', 'z', 'x']);
  assert.equal(afterOf({ ...before, pair: 'x' }, all).id, 'x');
  assert.equal(afterOf({ ...before, view: 'tail' }, all), undefined);
});
