// The look of every state of the page, narrow and wide, light and dark: nothing cut, small, faint or over
// the photograph, and axe-core content; the look that the system asks for; the other hand; twice the size.

import { FRONT, check, equal, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { findFaintness, findFaults, findMotion } from './eyes.mjs';
import { readSidecar } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

const NAME = 'front board, before treatment';
const SIZES = [[320, 640], [768, 1024], [1280, 820], [3840, 2160]];
const TO_AXE = [320, 1280]; // between them they have everything that can be named or coloured

const marksOf = (volume) => readSidecar(volume.sidecar(FRONT)).marks ?? [];

const onSlip = (face, then = async () => {}) => async (window) => {
  await window.slide(true);
  await window.face(face);
  await then(window);
};
const onLeaf = (key, ready) => async (window) => {
  await window.keys(key);
  await ready(window.page.locator('#leaf'));
};

/** The states that the page can be in, each reached from the one before. */
const STATES = {
  fresh: async () => {},
  'a mark chosen': async (window) => {
    await window.slide(true);
    await window.choose(/^3\b.*stain/);
  },
  'the terms': async (window) => {
    await window.slip.getByRole('combobox', { name: 'term' }).fill('st');
    await window.slip.getByRole('option').first().waitFor();
  },
  'the folded words': async (window) => {
    await window.keys('Escape');
    await window.slip.locator('summary').last().click();
  },
  'the words of the photograph': onSlip('Photograph'),
  'what is to do': onSlip('To do'),
  findings: async ({ slip }) => {
    await slip.getByRole('button', { name: 'Check the record' }).click();
    await slip.getByText(/at the foot of this list|It finds no more/).waitFor();
  },
  help: async (window) => {
    await window.slide(false);
    await window.page.locator('#large').focus();
    await onLeaf('?', (leaf) => leaf.getByRole('term').first().waitFor())(window);
  },
  framing: async (window) => {
    await window.keys('Escape');
    await onLeaf('f', (leaf) => leaf.getByText('camera', { exact: true }).waitFor())(window);
  },
  'the plate': async (window) => {
    await window.keys('Escape');
    await onLeaf('v', (leaf) => leaf.getByRole('img', { name: /^Plate/ }).waitFor())(window);
  },
  'choosing several': async (window) => {
    await window.keys('Escape');
    const unfold = window.button('All photographs');
    if (await unfold.isVisible()) await unfold.click();
    await window.button('Choose several').click();
    await window.button('all before').click();
  },
};

for (const [width, height] of SIZES)
  test(`${width} px: every state, light and dark, is whole, large enough to touch and legible`, async () => {
    await atDesk(async ({ window }) => {
      await window.open(NAME);
      await window.large.lay();
      for (const [state, reach] of Object.entries(STATES)) {
        await reach(window);
        const what = `${width} px, ${state}`;
        equal(await findFaults(window), [], what);
        if (TO_AXE.includes(width)) equal(await window.axe(), [], `axe-core, ${what}`);
        await window.picture(`look-${width}-${state.replaceAll(' ', '-')}`);
        await window.page.emulateMedia({ colorScheme: 'dark' });
        equal(await findFaintness(window), [], `${what}, dark`);
        if (TO_AXE.includes(width)) equal(await window.axe(), [], `axe-core, ${what}, dark`);
        await window.picture(`look-${width}-${state.replaceAll(' ', '-')}-dark`);
        await window.page.emulateMedia({ colorScheme: 'light' });
      }
    }, { viewport: { width, height } });
  });

test('where the system asks for no motion nothing moves', async () => {
  await atDesk(async ({ window }) => {
    await window.open(NAME);
    for (const up of [true, false]) {
      await window.slide(up);
      equal(await findMotion(window), [], up ? 'the slip up' : 'the slip down');
    }
    await window.page.emulateMedia({ reducedMotion: 'no-preference' });
    await window.slide(true);
    check((await findMotion(window)).length > 0, 'elsewhere something does');
  }, { reducedMotion: 'reduce', viewport: { width: 320, height: 640 } });
});

test('with the system\'s own colours the focus, the tool in hand and the chosen mark are seen', async () => {
  await atDesk(async ({ window }) => {
    await window.open(NAME);
    await window.large.lay();
    const seen = async (locator) => (await locator.screenshot({ animations: 'disabled' })).toString('base64');
    const [area, line] = ['Area', 'Line'].map((name) => window.button(name));
    const large = window.page.locator('#large');
    const before = { area: await seen(area), line: await seen(line) };
    await area.click();
    await window.page.locator('#large').focus();
    check(await seen(area) !== before.area, 'the tool in hand');
    await line.focus();
    await window.keys('ArrowUp', 'ArrowDown');
    check(await seen(line) !== before.line, 'the focus');
    equal(await line.evaluate((node) => getComputedStyle(node).outlineStyle), 'solid', 'its outline');
    await window.keys('Escape', 'h');
    await window.face('Marks');
    await window.large.lay();
    const still = () => until('the photograph to lie still', async () => {
      const now = await seen(large);
      return now === await seen(large) && now;
    });
    const unchosen = await still();
    await window.choose(/^3\b.*stain/);
    await large.locator('.chosen .ink-number').first().waitFor();
    await window.large.lay();
    check(await still() !== unchosen, 'the chosen mark');
    equal(await window.axe(), [], 'axe-core');
    await window.picture('look-own-colours');
  }, { forcedColors: 'active' });
});

test('for the other hand the tools lie on the other side', async () => {
  for (const [width, height] of SIZES.slice(0, 3))
    await atDesk(async ({ window, another }) => {
      await window.open(NAME);
      const more = window.button('More');
      if (await more.isVisible()) await more.click();
      const tools = async () => (await window.page.getByRole('toolbar').getByRole('button', { name: 'Undo' }).boundingBox()).x;
      const left = await tools();
      await window.button('Right hand').click();
      await window.large.lay();
      check(await tools() !== left, `${width} px: the tools have moved`);
      equal(await findFaults(window), [], `${width} px, right hand`);
      equal(await window.axe(), [], `axe-core, ${width} px, right hand`);
      await window.picture(`look-${width}-right-hand`);
      const next = await another({ session: window });
      await next.button('Left hand', { includeHidden: true }).waitFor({ state: 'attached' }); // the browser remembers
    }, { viewport: { width, height } });
});

test('at twice the size everything can still be reached, and a stroke drawn', async () => {
  await atDesk(async ({ volume, window }) => {
    const n = marksOf(volume).length;
    await window.open(NAME);
    await window.tool('Point');
    await window.touchAll([[1400, 3700]]);
    await until('a stroke', () => marksOf(volume).length === n + 1);
    await window.keys('Escape', 'h');
    for (const [state, reach] of Object.entries(STATES)) {
      await reach(window);
      equal(await findFaults(window), [], `twice the size, ${state}`);
      await window.picture(`look-twice-${state.replaceAll(' ', '-')}`);
    }
  }, { viewport: { width: 640, height: 410 }, deviceScaleFactor: 2 });
});

await run(stopBrowser);
