// Fields in which a few letters find a word: what Enter, Tab, Escape and a touch do in them, and what
// becomes of words that they do not know.

import { FRONT, FRONT_AFTER, FRONT_NAME, HEAD, check, equal, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { markOf, readSidecar } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

const LAPTOP = { width: 1366, height: 768 };
const wordsOf = (volume, id) => readSidecar(volume.sidecar(FRONT)).marks.find((mark) => mark.id === id);
const field = (window, name) => window.slip.getByRole('combobox', { name, exact: true });
const options = (window) => window.slip.getByRole('option').allInnerTexts();
const lit = (window) => window.slip.getByRole('option', { selected: true }).allInnerTexts();
const isIn = (locator) => locator.evaluate((node) => node === document.activeElement);
const spoken = (window) => window.page.locator('#polite').innerText();

/** How far a field's frame and the list under it reach beyond the edges of the slip, in px. */
function cutOff(input) {
  const body = input.closest('.slip-body').getBoundingClientRect();
  const { outlineWidth, outlineOffset } = getComputedStyle(input);
  const frame = parseFloat(outlineWidth) + parseFloat(outlineOffset);
  const list = document.getElementById(input.getAttribute('aria-controls'));
  const parts = [[input.getBoundingClientRect(), frame], [list.getBoundingClientRect(), 0]];
  const hasEdge = parseFloat(getComputedStyle(list).borderTopWidth) > 0;
  return Math.max(hasEdge ? 0 : 1, ...parts.flatMap(([{ left, top, right }, by]) =>
    [body.left - left + by, body.top - top + by, right + by - body.right]));
}

/** Writes into a field over what stands there. */
async function write(window, name, letters) {
  await field(window, name).click();
  await field(window, name).fill(letters); // at once, as dictation does: for keys the browser itself scrolls
}

test('the first word found is lit, Enter takes it and leaves the field, whichever field it is', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    await window.choose(/^1\b/);
    for (const [name, letters, word, next] of [['part', 'clo', 'cloth side', 'how much'], ['term', 'mou', 'mould', 'part']]) {
      await write(window, name, letters);
      equal((await lit(window)).map((text) => text.trim()), [word], `lit in ${name}`);
      equal(await field(window, name).evaluate(cutOff), 0, `cut off at ${name}`);
      equal(await window.axe(), [], `axe-core, ${name}`);
      await window.keys('Enter');
      await until(`${name} is ${word}`, () => wordsOf(volume, '1')[name] === word);
      check(!(await isIn(field(window, name))), 'the field is left');
      check(await window.slip.evaluate((slip) => slip.contains(document.activeElement)), 'for a place on the slip');
      await window.picture(`slip-chosen-${name}`);
      equal(await window.axe(), [], `axe-core, ${name} chosen`);
      await window.keys('Delete');
      check(await isIn(field(window, name)), 'what goes is the word, so the hand is in the field again');
      check(wordsOf(volume, '1'), 'and not the mark');
      await window.keys('Escape');
      if (await isIn(field(window, name))) await window.keys('Escape');
      await window.keys('Tab');
      const beyond = window.slip.getByRole('radiogroup', { name: next }).getByRole('radio').or(field(window, next));
      check((await Promise.all((await beyond.all()).map(isIn))).includes(true), `Tab goes on from ${name} to ${next}`);
    }
    await write(window, 'part', 'clo');
    await window.keys('Enter', 'l');
    equal(await window.page.getByRole('button', { name: 'Line', pressed: true }).count(), 1, 'l takes the line');
    await window.saved();
    equal([wordsOf(volume, '1').term, wordsOf(volume, '1').part], ['mould', 'cloth side'], 'and is no letter of a word');
  }, { viewport: LAPTOP });
});

test('a part that no list has is written by its own row and never by leaving; Escape gives it up', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    await window.choose(/^2\b/);
    for (const leave of [() => window.keys('Tab'), () => window.button('Plate').focus(), () => window.keys('Enter')]) {
      await write(window, 'part', 'clo');
      equal((await options(window)).at(-1), 'as written: clo', 'the last row');
      await write(window, 'part', 'cl o');
      await leave();
      await until('the row asks', async () => (await window.slip.innerText()).includes('“cl o” is not saved yet'));
    }
    await until('it is said', async () => (await spoken(window)).includes('is not saved yet'));
    equal(await window.axe(), [], 'axe-core, asking');
    await window.picture('slip-asks');
    await window.choose(/^1\b/);
    equal(await field(window, 'part').inputValue(), 'spine leather', 'another mark has its own words');
    for (const [stage, part] of [['after', ''], ['before', 'cl o']]) {
      await window.keys('x');
      await until(`the photograph ${stage}`, async () => (await window.page.title()).includes(`${stage} treatment`));
      await window.choose(/^2\b/);
      const shown = await field(window, 'part').inputValue();
      check(part ? shown === part : shown !== 'cl o', `mark 2 ${stage}: what was written waits for its own mark, ${shown}`);
    }
    await write(window, 'part', 'clo');
    const { x, y, width, height } = await window.slip.getByText('strong', { exact: true }).boundingBox();
    await window.drag([x + width / 2, y + height / 2], [x + width / 2, y + height / 2]);
    await until('a touch beside it meets what lay there', () => wordsOf(volume, '2').severity === '3');
    await window.slip.getByText('“clo” is not saved yet').waitFor();
    equal(wordsOf(volume, '2').part, 'cloth side', 'nothing was taken');
    await field(window, 'part').press('Escape');
    equal([await options(window), await field(window, 'part').inputValue()], [[], 'clo'], 'Escape closes the list');
    await window.keys('Escape');
    equal(await field(window, 'part').inputValue(), 'cloth side', 'and then brings the old word back');
    check(!(await isIn(field(window, 'part'))), 'outside the field');
    await write(window, 'part', 'Under band');
    await window.keys('ArrowDown', 'Enter');
    await until('it is written', () => wordsOf(volume, '2').part === 'Under band');
    await write(window, 'part', 'CLOTH side');
    await window.keys('Tab');
    await until('a known part is taken by leaving', () => wordsOf(volume, '2').part === 'cloth side');
  });
});

test('a word that is no term keeps the list open: near terms, or undecided with it as the note', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    await window.choose(/^2\b/);
    const { note, term } = wordsOf(volume, '2');
    await write(window, 'term', 'frayed bumbo');
    await window.slip.getByText('No such term').waitFor();
    await until('it is said', async () => /No such term.*frayed cloth/.test(await spoken(window)));
    equal((await options(window)).map((text) => text.trim()), ['frayed cloth', 'undecided, with this as its note'], 'rows');
    await window.picture('slip-no-term');
    equal(await window.axe(), [], 'axe-core, no such term');
    await window.keys('Enter');
    await window.saved();
    equal([(await options(window)).length, wordsOf(volume, '2').term], [2, term], 'Enter alone decides nothing');
    await window.slip.getByRole('option', { name: /^undecided/ }).click();
    await until('undecided', () => wordsOf(volume, '2').term === 'undecided');
    equal(wordsOf(volume, '2').note, `${note}; frayed bumbo`, 'the note');
    check(!(await isIn(field(window, 'term'))), 'the field is left');
  });
});

test('what is pressed is pressed, also where it is laid anew under the hand', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    await window.choose(/^3\b/);
    await window.slip.getByRole('textbox', { name: 'note', exact: true }).fill('a note');
    check(markOf(volume, FRONT_AFTER, '3').earlier, 'there is a link');
    await window.pressIn(window.row('after treatment'), 'Unlink'); // by leaving the note it is saved, and the row laid anew
    await until('the note and no link', () => wordsOf(volume, '3').note === 'a note' && !markOf(volume, FRONT_AFTER, '3').earlier);
    const print = window.page.getByRole('navigation').getByRole('button', { name: /^head, before treatment/ });
    const { x, y, width, height } = await until('its place', () => print.locator('.under').boundingBox());
    const at = [x + width / 2, y + height / 2];
    await window.mouse([at]);
    await window.page.mouse.down();
    const pressed = await window.page.evaluateHandle((place) => document.elementFromPoint(...place), at);
    volume.write(`${HEAD}.yaml`, volume.sidecar(HEAD).replace(/^caption: .*$/m, 'caption: "written meanwhile"'));
    await until('the row to be laid anew', () => pressed.evaluate((node) => !node.isConnected));
    await window.page.mouse.up();
    await until('the photograph', async () => (await window.page.title()).startsWith('head, before treatment'));
  });
});

await run(stopBrowser);
