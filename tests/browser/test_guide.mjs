// The first steps of docs/marking.md, taken as it tells them; its pictures are made on the way, and
// axe-core looks at each state.

import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { FRONT, SOURCE, check, equal, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { readSidecar } from './sidecar.mjs';
import { openEntry, openLeaf, part } from './volume.mjs';
import { stopBrowser } from './window.mjs';

const NAME = 'front board, before treatment';
const GUIDE = readFileSync(join(SOURCE, 'docs', 'marking.md'), 'utf8');
const PATCH = [[1500, 3650], [1950, 3600], [2050, 3800], [1900, 4000], [1550, 3950]];
const marksOf = (volume) => readSidecar(volume.sidecar(FRONT)).marks ?? [];

test('the guide shows pictures that are there, and the keys that the page has', async () => {
  const pictures = [...GUIDE.matchAll(/\]\((\S+\.png)\)/g)].map(([, name]) => name);
  check(pictures.length >= 3, `${pictures.length} pictures`);
  for (const name of pictures) check(existsSync(join(SOURCE, 'docs', name)), name);
  await atDesk(async ({ window }) => {
    await window.open(NAME);
    await window.keys('?');
    const keys = window.page.getByRole('term');
    await keys.first().waitFor();
    const shown = (await keys.allInnerTexts()).flatMap((text) => text.split(/[\s,]+/));
    const told = [...GUIDE.matchAll(/`([a-z?]|PageDown)`/g)].map(([, key]) => key);
    check(told.length >= 8, `${told.length} keys`);
    for (const key of told) check(shown.includes(key), `${key} is not among ${shown}`);
    equal(await window.axe(), [], 'axe-core, the help');
  });
});

test('an area is drawn and named as the guide tells it', async () => {
  await atDesk(async ({ volume, window }) => {
    const n = marksOf(volume).length;
    await window.open(NAME);
    await window.large.lay();
    equal(await window.axe(), [], 'axe-core, fresh');
    await window.choose(/^3\b.*stain/);
    await window.picture('marking-bench');
    equal(await window.axe(), [], 'axe-core, a mark chosen');
    await window.tool('Area');
    const aims = await window.large.aim(PATCH);
    for (const { screen } of aims) await window.click(screen);
    await window.mouse([aims[0].screen]);
    await window.large.section.getByText(/^\d+ ± \d+ mm²$/).waitFor();
    await window.picture('marking-drawing');
    equal(await window.axe(), [], 'axe-core, drawing');
    await window.click(aims[0].screen);
    await until('the area', () => marksOf(volume).length === n + 1);
    equal(marksOf(volume).at(-1).term, 'undecided', 'no name is given by itself');
    const term = window.slip.getByRole('combobox', { name: 'term' });
    await term.fill('st');
    await window.slip.getByRole('option').first().waitFor();
    await window.picture('marking-term');
    equal(await window.axe(), [], 'axe-core, the terms');
    await term.fill('');
    await window.name('abr', 'abrasion');
    await window.saved();
    await until('its name', () => marksOf(volume).at(-1).term === 'abrasion');
  });
});

/** Waits until the pictures in sight are there. */
const seen = (where) => until('its pictures', () => where.locator('img').evaluateAll((images) => images
  .filter((image) => { const { top, bottom } = image.getBoundingClientRect(); return bottom > 0 && top < innerHeight; })
  .every((image) => image.complete && image.naturalWidth > 0)));

const toTop = (where) => where.evaluate((node) => node.scrollIntoView({ block: 'start' }));

test('the volume is filled in as the guide tells it', async () => {
  await atDesk(async ({ window }) => {
    const leaf = await openLeaf(window);
    const fern = await openEntry(part(window, 'Pieces'), 'pressed fern');
    await toTop(part(window, 'Pieces'));
    await seen(leaf);
    await window.picture('marking-volume');
    await fern.locator('summary').first().click();
    const decision = await openEntry(part(window, 'Decisions'), 'How far to go');
    const about = decision.getByRole('group', { name: 'about', exact: true });
    await about.getByRole('button', { name: 'Choose what it is about' }).click();
    await about.getByRole('button', { name: /^front board, before/ }).click();
    await about.getByRole('button', { name: /^3\b.*stain/, pressed: true }).waitFor();
    await toTop(about);
    await window.mouse([[5, 5]]); // points at nothing
    await seen(leaf);
    await window.picture('marking-photographs');
    equal(await window.axe(), [], 'axe-core');
  });
  await atDesk(async ({ window }) => {
    const leaf = await openLeaf(window);
    await openEntry(part(window, 'Decisions'), 'How far to go');
    await toTop(part(window, 'Decisions'));
    await seen(leaf);
    await window.picture('marking-volume-narrow');
  }, { viewport: { width: 320, height: 640 }, hasTouch: true });
});

/** What each leaf shows once it is there. */
const LEAVES = {
  f: (leaf) => leaf.getByText('camera', { exact: true }),
  v: (leaf) => leaf.getByRole('img', { name: /^Plate/ }),
  b: (leaf) => leaf.getByRole('region', { name: 'Care', exact: true }),
  '?': (leaf) => leaf.getByRole('term').first(),
};

test('every leaf and face of the page is clean to axe-core, light and dark', async () => {
  for (const colorScheme of ['light', 'dark'])
    await atDesk(async ({ window }) => {
      await window.open(NAME);
      for (const face of ['Photograph', 'To do', 'Marks']) {
        await window.face(face);
        equal(await window.axe(), [], `${colorScheme}, ${face}`);
      }
      for (const [key, shown] of Object.entries(LEAVES)) {
        await window.keys(key);
        await shown(window.page.locator('#leaf')).waitFor();
        equal(await window.axe(), [], `${colorScheme}, leaf ${key}`);
        await window.keys('Escape');
      }
    }, { colorScheme });
});

await run(stopBrowser);
