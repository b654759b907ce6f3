// The slip under the hand: fields in which a few letters find a word, what they do with words they do
// not know, what stays in its place, and what is in sight on a small laptop.

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { FRONT, FRONT_NAME, SOURCE, check, equal, run, test, until } from './bench.mjs';
import { atBoard, atDesk } from './desk.mjs';
import { readSidecar } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

const LAPTOP = { width: 1366, height: 768 };
const TOUCH = 44; // px, the least side of a target: docs of the page's look
const wordsOf = (volume, id) => readSidecar(volume.sidecar(FRONT)).marks.find((mark) => mark.id === id);
const field = (window, name) => window.slip.getByRole('combobox', { name, exact: true });
const options = (window) => window.slip.getByRole('option').allInnerTexts();
const lit = (window) => window.slip.getByRole('option', { selected: true }).allInnerTexts();
const isIn = (locator) => locator.evaluate((node) => node === document.activeElement);
const spoken = (window) => window.page.locator('#polite').innerText();

/** Writes into a field as a hand does, over what stands there. */
async function write(window, name, letters) {
  await field(window, name).click();
  await field(window, name).fill('');
  await window.page.keyboard.type(letters);
}

test('the first word found is lit, Enter takes it and leaves the field, whichever field it is', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    await window.choose(/^1\b/);
    for (const [name, letters, word, next] of [['part', 'clo', 'cloth side', 'how much'], ['term', 'abr', 'abrasion', 'part']]) {
      await write(window, name, letters);
      equal((await lit(window)).map((text) => text.trim()), [word], `lit in ${name}`);
      equal(await window.axe(), [], `axe-core, ${name}`);
      await window.keys('Enter');
      await until(`${name} is ${word}`, () => wordsOf(volume, '1')[name] === word);
      check(!(await isIn(field(window, name))), 'the field is left');
      check(await window.slip.evaluate((slip) => slip.contains(document.activeElement)), 'for a place on the slip');
      await window.picture(`slip-chosen-${name}`);
      equal(await window.axe(), [], `axe-core, ${name} chosen`);
      await window.keys('Tab');
      const beyond = window.slip.getByRole('radiogroup', { name: next }).getByRole('radio').or(field(window, next));
      check((await Promise.all((await beyond.all()).map(isIn))).includes(true), `Tab goes on from ${name} to ${next}`);
    }
    await write(window, 'part', 'clo');
    await window.keys('Enter', 'l');
    equal(await window.page.getByRole('button', { name: 'Line', pressed: true }).count(), 1, 'l takes the line');
    await window.saved();
    equal([wordsOf(volume, '1').term, wordsOf(volume, '1').part], ['abrasion', 'cloth side'], 'and is no letter of a word');
  });
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
    await window.choose(/^2\b/);
    equal(await field(window, 'part').inputValue(), 'cl o', 'what was written waits for its mark');
    await window.slip.getByRole('radio', { name: 'strong' }).check();
    await until('a touch beside it counts', () => wordsOf(volume, '2').severity === '3');
    equal(wordsOf(volume, '2').part, 'cloth side', 'nothing was taken');
    await field(window, 'part').press('Escape');
    equal([await options(window), await field(window, 'part').inputValue()], [[], 'cl o'], 'Escape closes the list');
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
    equal([(await options(window)).length, wordsOf(volume, '2').term], [2, term], 'Enter alone decides nothing');
    await window.slip.getByRole('option', { name: /^undecided/ }).click();
    await until('undecided', () => wordsOf(volume, '2').term === 'undecided');
    equal(wordsOf(volume, '2').note, `${note}; frayed bumbo`, 'the note');
    check(!(await isIn(field(window, 'term'))), 'the field is left');
  });
});

test('tabs and the photograph beside lie still whatever is chosen; a caution stands whole', async () => {
  const terms = readFileSync(join(SOURCE, 'styles', 'terms.yaml'), 'utf8');
  const [, caution] = /term: red rot\n(?: {4}.*\n)*? {4}caution: "(.*)"/.exec(terms);
  for (const viewport of [LAPTOP, { width: 1280, height: 820 }, { width: 390, height: 800 }])
    await atDesk(async ({ window }) => {
      await window.open(FRONT_NAME);
      if (viewport.width < 700) await window.slip.getByRole('button', { name: /marks/ }).click();
      await window.page.evaluate(() => document.fonts.ready.then(() => true));
      const places = () => window.page.evaluate(() => JSON.stringify([...document.querySelectorAll('#beside, [role="tab"]')]
        .map((node) => node.getBoundingClientRect()).map(({ x, y, height }) => [x, y, height])));
      const still = await until('the slip to lie still', async () => { const at = await places(); return at === await places() && at; });
      for (const face of ['To do', 'Photograph', 'Marks']) {
        await window.face(face);
        equal(await places(), still, `${viewport.width} px, ${face}`);
      }
      for (let n = 1; n <= 9; n += 1) {
        await window.keys('n');
        await window.slip.getByText(`Mark ${n}:`).waitFor({ state: 'attached' });
        equal(await places(), still, `${viewport.width} px, mark ${n}`);
        if (n === 8) check((await window.slip.innerText()).includes(caution), `${viewport.width} px: the whole caution`);
      }
    }, { viewport });
});

test('on a small laptop a point has its count and note in sight, and what is folded comes into sight', async () => {
  for (const reducedMotion of ['reduce', 'no-preference'])
    await atBoard(async ({ window, place }) => {
      const inSight = async (node, what) => {
        const [body, box] = [await window.page.locator('.slip-body').boundingBox(), await node.boundingBox()];
        check(box.height >= TOUCH, `${what} is ${box.height} px high`);
        check(box.y >= body.y && box.y + box.height <= body.y + body.height + 1, `${what} is out of sight`);
      };
      const both = async (what) => {
        for (const name of ['count', 'note']) await inSight(window.slip.getByRole('textbox', { name }), `${name} of ${what}`);
      };
      await window.tool('Point');
      await window.touchAll(place([[0, 0]]));
      await window.slip.getByText('name it').waitFor();
      await window.picture(`slip-unnamed-${reducedMotion}`);
      await both('a point without a name');
      await window.choose(/^9\b/); // with a caution
      await window.picture(`slip-point-${reducedMotion}`);
      await both('a bore hole');
      const title = window.slip.getByText(/^Private/);
      equal(await title.innerText(), 'Private, level, the same damage elsewhere', 'its title');
      await title.click();
      await until('what is inside', () => inSight(window.slip.getByRole('button', { name: /same damage/ }), 'the link').then(() => true));
      equal(await window.axe(), [], 'axe-core, unfolded');
      await window.picture(`slip-unfolded-${reducedMotion}`);
    }, { viewport: LAPTOP, reducedMotion });
});

test('what is to do is counted once, with one number', async () => {
  await atDesk(async ({ window }) => {
    await window.open(FRONT_NAME);
    await window.face('To do');
    const words = await window.slip.getByRole('heading', { name: /still to do/ }).innerText();
    const things = window.page.getByRole('tabpanel').getByRole('listitem');
    equal(words, `${await things.count()} things still to do`, 'the face');
    check((await window.page.getByRole('banner').innerText()).includes(words), 'the line on top');
    await window.button('Check the record').click();
    await window.slip.getByText('no more than is listed').waitFor();
    equal(words, `${await things.count()} things still to do`, 'after the check');
    equal(await window.axe(), [], 'axe-core, checked');
  });
});

await run(stopBrowser);
