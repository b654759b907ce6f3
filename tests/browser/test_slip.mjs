// The slip under the hand: what stays in its place, what is in sight on a small laptop, and what is to do.

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { FRONT_NAME, SOURCE, check, equal, run, test, until } from './bench.mjs';
import { atBoard, atDesk } from './desk.mjs';
import { stopBrowser } from './window.mjs';

const LAPTOP = { width: 1366, height: 768 };
const TOUCH = 44; // px, the least side of a target (WCAG 2.2, 2.5.5)

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
      equal(await title.innerText(), 'Private, level, seen twice', 'its title');
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
