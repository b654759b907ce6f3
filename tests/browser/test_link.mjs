// What has become of a mark, or what it was before treatment, and one damage seen twice: said on the slip,
// touched on the photograph beside, and saved so that `check` and `measure` take it.

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { FRONT, FRONT_AFTER, FRONT_AFTER_NAME, FRONT_NAME, SOURCE, check, equal, linkFaults, measure, run, sizeWords, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { markOf, marksOf } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

const PATCH = '1500,3600 1900,3600 1900,3900 1500,3900';
const LESS = '1560,3660 1800,3660 1800,3840 1560,3840';
const BARE = [
  [FRONT, `{id: 20, term: abrasion, part: cloth side, outline: "${PATCH}"}`],
  [FRONT_AFTER, `{id: 21, term: undecided, outline: "${LESS}"}`],
  [FRONT_AFTER, '{id: 22, term: crease, part: cloth side, line: "2300,5000 2500,5200"}'],
];

const add = (volume, list) => list.forEach(([file, mark]) => volume.write(`${file}.yaml`, `${volume.sidecar(file)}  - ${mark}\n`));

test('a mark of before is made good on its own slip: written with the after photograph, one Undo takes it back', async () => {
  await atDesk(async ({ volume, window }) => {
    const begun = volume.sidecar(FRONT_AFTER);
    const before = volume.sidecar(FRONT);
    await window.open(FRONT_NAME);
    await window.choose(/^20/);
    const after = window.row('after treatment');
    await window.pressIn(after, 'made good');
    await window.large.section.getByText(/^Made good, written with front board, after treatment/).waitFor();
    await until('it to be written', () => marksOf(volume, FRONT_AFTER).some(({ earlier }) => earlier === `${FRONT}#20`));
    const made = marksOf(volume, FRONT_AFTER).at(-1);
    equal({ ...made, id: '' }, { id: '', term: 'abrasion', part: 'cloth side', earlier: `${FRONT}#20`, gone: 'yes' }, 'the mark');
    await until('the row', async () => await after.innerText() === 'after treatment\nmade good\nUnlink');
    equal(linkFaults(volume), [], 'check');
    equal(await window.axe(), [], 'axe-core');
    await window.picture('link-made-good');
    await window.saved();
    await window.reload();
    await window.open(FRONT_NAME);
    await window.keys('u');
    await until('it to be taken back', () => volume.sidecar(FRONT_AFTER) === begun);
    equal(volume.sidecar(FRONT), before, 'the before sidecar is untouched');
    await window.keys('r');
    await until('it to be there again', () => marksOf(volume, FRONT_AFTER).at(-1).gone === 'yes');
    await window.open(FRONT_AFTER_NAME);
    await window.choose(new RegExp(`^20\\s*abrasion, cloth side\\s*made good`)); // listed, though it is nowhere to be seen
    await window.pressIn(window.row('before treatment'), 'Unlink');
    await until('it to go with its link', () => volume.sidecar(FRONT_AFTER) === begun);
  }, { prepare: (volume) => add(volume, BARE) });
});

test('what is still there is touched on the photograph beside: it takes the name along, and the change is told as measured', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    await window.choose(/^20/);
    const after = window.row('after treatment');
    await window.pressIn(after, 'still there: touch it');
    const [line, area] = await window.small.aim([[2400, 5100], [1680, 3750]]);
    const text = volume.sidecar(FRONT_AFTER);
    await window.click(line.screen);
    await window.large.section.getByText(/^Mark 22 cannot be it: one is an area/).waitFor();
    await window.picture('link-picking');
    equal(await window.axe(), [], 'axe-core, picking');
    equal(volume.sidecar(FRONT_AFTER), text, 'what cannot stand is not written');
    await window.click(area.screen);
    await until('the link', () => markOf(volume, FRONT_AFTER, '21').earlier);
    const { outline: _, ...words } = markOf(volume, FRONT_AFTER, '21');
    equal(words, { id: '21', term: 'abrasion', part: 'cloth side', earlier: `${FRONT}#20` }, 'the after mark');
    const { area_mm2: change } = measure(volume.path).changes.find((one) => one.before === `${FRONT}#20`);
    const wanted = sizeWords(change, 'mm²').replace('-', '\u2212').replace(/(\d)(\d{3}) ±/, '$1\u202f$2 ±');
    await until(`the row to say ${wanted}`, async () => (await after.innerText()).replaceAll(/\s/g, '').includes(wanted.replaceAll(/\s/g, '')));
    await window.picture('link-still-there');
    equal(linkFaults(volume), [], 'check');
    await window.pressIn(after, 'Unlink');
    await until('no link', () => !markOf(volume, FRONT_AFTER, '21').earlier);
    await window.open(FRONT_AFTER_NAME);
    await window.choose(/^21/);
    await window.pressIn(window.row('before treatment'), 'it was: touch it');
    await window.click((await window.small.aim([[1700, 3750]]))[0].screen);
    await until('the link, from the after mark', () => markOf(volume, FRONT_AFTER, '21').earlier === `${FRONT}#20`);
  }, { prepare: (volume) => add(volume, BARE) });
});

test('the same damage seen twice is offered among photographs of one stage alone', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    await window.choose(/^20/);
    await window.slip.getByText(/^Private, level/).click();
    await window.pressIn(window.row('seen twice'), 'the same damage is on another photograph before treatment: touch it');
    const offered = await window.row('which mark it is').getByRole('option').allInnerTexts();
    check(offered.length > 2 && offered.slice(1).every((name) => name.includes('before treatment')), offered.join('; '));
    const [area] = await window.small.aim([[1680, 3750]]); // the after photograph lies beside
    await window.click(area.screen);
    await window.large.section.getByText('It is not on this photograph').waitFor();
    equal(markOf(volume, FRONT, '20')['same-as'], undefined, 'nothing is written');
    await window.button('Leave it').click();
    const detail = () => marksOf(volume, 'before/LF12_0038.jpg')[0]['same-as'];
    await window.open('detail, front board, tail corner, before');
    await window.choose(/worn corner/);
    const linked = detail();
    await window.pressIn(window.row('seen twice'), 'Unlink');
    await until('no link', () => detail() === undefined);
    await window.pressIn(window.row('seen twice'), 'the same damage is on another photograph before treatment: touch it');
    await window.slip.getByRole('combobox', { name: 'beside it' }).selectOption({ label: FRONT_NAME });
    await window.row('which mark it is').getByRole('button', { name: /worn corner/ }).click(); // or by name
    await until('a link', () => detail() === linked);
    equal(linkFaults(volume), [], 'check');
  }, { prepare: (volume) => add(volume, BARE) });
});

test('how a thing is known is said as on the plates; ties say what they are for', async () => {
  const words = readFileSync(join(SOURCE, 'styles', 'words', 'en.yaml'), 'utf8');
  await atDesk(async ({ window }) => {
    await window.open(FRONT_NAME);
    await window.choose(/^3/);
    for (const basis of ['tested', 'inferred', 'reported']) {
      const [, word] = new RegExp(`basis-${basis}: "(.*)"`).exec(words);
      equal(await window.slip.getByRole('radio', { name: word, exact: true }).count(), 1, word);
    }
    await window.tool('Ties');
    await window.large.section.getByText(/before and after lie exactly over each other/).waitFor();
  });
});

await run(stopBrowser);
