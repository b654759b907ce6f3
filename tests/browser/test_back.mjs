// Nothing is lost: undo and redo after a reload, two windows on one record, a text editor meanwhile.

import { FRONT, check, equal, near, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { points, readSidecar } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

const NAME = 'front board, before treatment';
const marksOf = (volume) => readSidecar(volume.sidecar(FRONT)).marks ?? [];
const idsOf = (volume) => marksOf(volume).map(({ id }) => id);
const noteOf = (volume, id) => marksOf(volume).find((mark) => mark.id === id)?.note;

/** Sets a point; gives its place. */
async function setPoint(window, place) {
  await window.tool('Point');
  const [at] = await window.touchAll([place]);
  return at;
}

async function writeNote(window, mark, words) {
  await window.choose(mark);
  const field = window.slip.getByRole('textbox', { name: 'note', exact: true });
  await field.fill(words);
  await field.press('Tab');
}

test('undo and redo, also after a reload', async () => {
  await atDesk(async ({ volume, window }) => {
    const begun = volume.sidecar(FRONT);
    window.expect(/request failed: .*net::ERR_ABORTED/); // a reload cuts off what is asked just then, a save that is on disk already among it
    await window.open(NAME);
    const places = [];
    for (const place of [[1400, 3700], [1700, 3900], [2000, 3700]]) places.push(await setPoint(window, place));
    await window.saved();
    const drawn = volume.sidecar(FRONT);
    equal(marksOf(volume).slice(-3).length, 3);
    await window.button('Undo').click();
    await window.saved();
    await until('one point less', () => marksOf(volume).length === readSidecar(begun).marks.length + 2);
    await window.reload();
    await window.open(NAME);
    await window.button('Undo').click();
    await window.keys('u');
    await until('the sidecar as it was', () => volume.sidecar(FRONT) === begun);
    await until('nothing left to undo', () => window.button('Undo').isDisabled());
    await window.reload();
    await window.open(NAME);
    for (let i = 0; i < 3; i += 1) await window.keys('Control+y');
    await until('all of it again', () => volume.sidecar(FRONT) === drawn);
    near(marksOf(volume).slice(-3).map(({ point }) => points(point)[0]), places, 'points done again');
  });
});

test('two windows draw and write at once: both versions are shown and merged mark by mark', async () => {
  await atDesk(async ({ volume, window: laptop, another }) => {
    const tablet = await another();
    tablet.expect(/412/);
    await Promise.all([laptop.open(NAME), tablet.open(NAME)]);
    const n = marksOf(volume).length;
    const release = await tablet.hold('**/edit');
    const there = await setPoint(tablet, [1400, 3700]);
    await writeNote(tablet, /^1\b/, 'as the tablet has it');
    const here = await setPoint(laptop, [2000, 3700]);
    await writeNote(laptop, /^1\b/, 'as the laptop has it');
    await writeNote(laptop, /^2\b/, 'only the laptop wrote this');
    await laptop.saved();
    release();
    const alert = tablet.page.getByRole('alert').filter({ hasText: 'changed elsewhere' });
    await alert.waitFor();
    equal(noteOf(volume, '1'), 'as the laptop has it', 'nothing was written over');
    await tablet.picture('merge-asked');
    await alert.getByRole('button', { name: 'See both and choose' }).click();
    const save = tablet.button('Save this choice');
    check(await save.isDisabled(), 'what both changed is to be chosen');
    await tablet.picture('merge');
    equal(await tablet.axe(), [], 'axe-core');
    await tablet.page.getByRole('radio', { name: /keep both/ }).check();
    await tablet.page.getByRole('radio', { name: 'here as the tablet has it' }).check();
    await save.click();
    await tablet.saved();
    await until('both points in the sidecar', () => marksOf(volume).length === n + 2);
    equal([noteOf(volume, '1'), noteOf(volume, '2')], ['as the tablet has it', 'only the laptop wrote this'], 'notes');
    near(marksOf(volume).slice(-2).map(({ point }) => points(point)[0]).sort((a, b) => a[0] - b[0]), [there, here], 'points');
    equal(new Set(idsOf(volume)).size, n + 2, 'every mark has a number of its own');
  });
});

test('what a text editor writes meanwhile is shown, and stays', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(NAME);
    await window.choose(/^2\b/);
    const text = volume.sidecar(FRONT);
    const edited = text.replace(/note: "from the fore edge inwards/, 'note: "edited by hand').replace(/^marks:$/m, '# a comment of a careful hand\nmarks:');
    volume.write(`${FRONT}.yaml`, edited);
    const field = window.slip.getByRole('textbox', { name: 'note', exact: true });
    await until('the note as it was edited', async () => (await field.inputValue()).startsWith('edited by hand'));
    await setPoint(window, [1700, 3900]);
    await window.saved();
    const after = volume.sidecar(FRONT);
    check(after.startsWith(edited.trimEnd()), 'every byte that the editor wrote is there');
    equal(marksOf(volume).length, readSidecar(text).marks.length + 1, 'and the stroke');
  });
});

test('an editor that writes between a stroke and its save is not written over', async () => {
  await atDesk(async ({ volume, window }) => {
    window.expect(/412/);
    await window.open(NAME);
    const release = await window.hold('**/edit');
    const place = await setPoint(window, [1700, 3900]);
    volume.write(`${FRONT}.yaml`, volume.sidecar(FRONT).replace('severity: 3', 'severity: 1'));
    release();
    await window.page.getByRole('button', { name: 'See both and choose' }).click();
    await window.button('Save this choice').click(); // nothing is touched by both
    await window.saved();
    await until('the stroke', () => marksOf(volume).at(-1).point !== undefined);
    near(points(marksOf(volume).at(-1).point), [place], 'the stroke');
    equal(marksOf(volume)[0].severity, '1', 'what the editor wrote');
  });
});

await run(stopBrowser);
