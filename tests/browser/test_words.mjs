// The words of photographs, of one and of many at once, and what the record refuses.

import { FRONT, HEAD, check, equal, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { readSidecar } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

const DURING = ['during/LF12_0044.jpg', 'during/LF12_0051.jpg', 'during/LF12_0063.jpg'];
const CORNER = DURING[2];
const CORNER_NAME = 'detail, front board, tail corner, during treatment';
const HEARD = '# the camera stood on the gallery\n';
const wordsOf = (volume, file) => readSidecar(volume.sidecar(file));
const today = () => { // as the clock on the wall has it
  const now = new Date();
  return new Date(now - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 10);
};

function annotate(volume) {
  for (const file of DURING)
    volume.write(`${file}.yaml`, volume.sidecar(file).replace(/^stage: during$/m, `${HEARD}stage: during   # by date`));
}

const ring = (label, word) => async (slip) =>
  slip.getByRole('radiogroup', { name: label, exact: true }).getByRole('radio', { name: word, exact: true }).click();
const line = (label, text) => async (slip) => {
  const isList = label === 'view';
  const field = slip.getByRole(isList ? 'combobox' : 'textbox', { name: label, exact: true });
  await field.fill(text);
  await field.press(isList ? 'Enter' : 'Tab');
};

/** Every word that a photograph has: how it is said, and what must then stand in the sidecar. */
const WORDS = [
  ['step', line('step', 'corner toned "warm"'), ({ step }) => step, 'corner toned "warm"'],
  ['view', line('view', 'leaf'), ({ view }) => view, 'leaf'],
  ['place', line('place', 'f. 12r, # 3'), ({ place }) => place, 'f. 12r, # 3'],
  ['light', ring('light', 'transmitted'), ({ light }) => light, 'transmitted'],
  ['caption', line('caption', 'No: still wet'), ({ caption }) => caption, 'No: still wet'],
  ['level', line('level', '-3.5'), ({ scale }) => scale['plane-offset'], '-3.5'],
  ['shape', ring('shape', 'curved: counts, no sizes'), ({ shape }) => shape, 'curved'],
  ['privacy', async (slip) => slip.getByRole('button', { name: 'I have looked through it today' }).click(),
    (words) => words['privacy-checked'], today()],
  ['stage', ring('stage', 'after'), ({ stage }) => stage, 'after'],
];

test('each word of a photograph is in its sidecar at once, beside the comments, and undo takes it back', async () => {
  await atDesk(async ({ volume, window }) => {
    const text = volume.sidecar(CORNER);
    await window.open(CORNER_NAME);
    await window.face('Photograph');
    for (const [name, say, read, value] of WORDS) {
      await say(window.slip);
      await until(`${name} in the sidecar`, () => read(wordsOf(volume, CORNER)) === value);
      check(volume.sidecar(CORNER).includes(HEARD), 'the comment stands');
      await window.saved();
      await window.button('Undo').click();
      await until(`${name} as it was`, () => read(wordsOf(volume, CORNER)) === read(readSidecar(text)));
      equal(wordsOf(volume, CORNER), readSidecar(text), `after undo of ${name}`);
    }
    equal(await window.axe(), [], 'axe-core');
  }, { prepare: annotate });
});

test('raking light is written when its side has been told, not before', async () => {
  await atDesk(async ({ volume, window }) => {
    const text = volume.sidecar(FRONT);
    await window.open('front board, before treatment');
    await window.face('Photograph');
    await ring('light', 'raking')(window.slip);
    const side = window.slip.getByRole('radiogroup', { name: 'from', exact: true });
    await side.waitFor();
    equal(volume.sidecar(FRONT), text, 'nothing is written');
    await side.getByRole('radio', { name: 'bottom left', exact: true }).click();
    await until('the light', () => wordsOf(volume, FRONT).light === 'raking from bottom left');
  });
});

test('the words of many are written to each of them and to no other, and each has its own way back', async () => {
  await atDesk(async ({ volume, window }) => {
    const before = new Map([...DURING, FRONT, HEAD].map((file) => [file, volume.sidecar(file)]));
    await window.open(CORNER_NAME);
    await window.button('Choose several').click();
    await window.button('all during').click();
    await window.slip.getByRole('heading', { name: '3 photographs' }).waitFor();
    equal(await window.axe(), [], 'axe-core');
    for (const [name, say, read, value] of WORDS) {
      await say(window.slip);
      for (const file of DURING) await until(`${name} of ${file}`, () => read(wordsOf(volume, file)) === value);
    }
    await window.saved();
    for (const file of [FRONT, HEAD]) equal(volume.sidecar(file), before.get(file), file);
    await window.button('Done').click();
    for (const file of DURING) {
      check(volume.sidecar(file).includes(HEARD), `the comment of ${file} stands`);
      await window.open('leaf, f. 12r, # 3, after treatment');
      const id = await window.page.locator('#row [aria-current]').getAttribute('data-photo');
      const { file: here } = await window.ask(`/photo/${id}`);
      const was = readSidecar(before.get(here));
      for (const [name, , read] of WORDS.toReversed()) {
        await window.button('Undo').click();
        await until(`${name} of ${here} as it was`, () => read(wordsOf(volume, here)) === read(was));
      }
      equal(wordsOf(volume, here), was, here);
      await until('no more to undo', () => window.button('Undo').isDisabled());
    }
  }, { prepare: annotate });
});

test('a word that the record refuses is told in words, stays to be mended, and nothing is written', async () => {
  await atDesk(async ({ volume, window }) => {
    window.expect(/422/);
    const text = volume.sidecar(FRONT);
    await window.open('front board, before treatment');
    await window.face('Photograph');
    await line('level', 'a hand')(window.slip);
    const note = window.slip.getByRole('group', { name: 'not saved: level' });
    await note.waitFor();
    check(/plane-offset|number/.test(await note.innerText()), await note.innerText());
    await window.page.getByRole('alert').filter({ hasText: /Not taken:.*plane-offset/ }).waitFor();
    equal(volume.sidecar(FRONT), text, 'nothing is written');
    equal(await window.axe(), [], 'axe-core');
    await note.getByRole('textbox').fill('4');
    await note.getByRole('button', { name: 'Save it so' }).click();
    await until('the level', () => wordsOf(volume, FRONT).scale['plane-offset'] === '4');
    await until('the note to be gone', async () => !(await note.isVisible()));
  });
});

await run(stopBrowser);
