// The forms of the leaf "The volume" that are filled by choosing: photographs and marks by their pictures, parts
// and terms by a few letters; and what is rarely touched: sizes, cards, cameras, lenses, plates. Each writes one
// stretch of volume.yaml.

import { FRONT, check, equal, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { FILE, becomes, leafOf, openEntry, openLeaf, part, read, stretch, write } from './volume.mjs';
import { stopBrowser } from './window.mjs';

const HEAD_AFTER = 'after/LF12_0072.jpg';

/** What a hand does in a form, and the one stretch of the text that it changes. */
async function changes(volume, what, act, from, to) {
  const before = read(volume);
  await act();
  await until(what, () => read(volume) !== before);
  equal(stretch(before, read(volume)), { from, to }, what);
}

const field = (where, name) => where.getByRole('textbox', { name, exact: true });
const unfold = (where, words) => where.locator('details.more > summary').filter({ hasText: words }).click();
const chooserOf = (where, label) => where.getByRole('group', { name: `${label}: choose`, exact: true });
const chosen = (where, label) => where.getByRole('group', { name: label, exact: true }).getByRole('listitem');

async function choose(where, label, ...names) {
  await where.getByRole('group', { name: label, exact: true }).getByRole('button', { name: /^Choose/ }).click();
  for (const name of names) await chooserOf(where, label).getByRole('button', { name }).first().click();
}

/** Takes the row of a word's list that says so. */
async function pick(where, label, letters, row) {
  const combo = where.getByRole('combobox', { name: label, exact: true });
  await combo.fill(letters);
  await where.getByRole('option', { name: row }).first().click();
}

test('number, language, level and how unsure a thing is: each is one stretch of the text', async () => {
  await atDesk(async ({ volume, window }) => {
    const leaf = await openLeaf(window);
    const itself = part(window, 'The volume itself');
    await changes(volume, 'the number', () => write(field(itself, 'number'), 'PSR-1887-03b'), '', 'b');
    await changes(volume, 'the language', () => part(window, 'What for, and when').getByRole('combobox', { name: 'language' }).selectOption('German'),
      '', 'language: de\n');
    const sizes = part(window, 'How sizes are got');
    await changes(volume, 'the level', () => write(field(sizes, 'level'), '2.5'), '', 'plane-offset: 2.5\n');
    await sizes.getByText('The card lay 2.5 mm below the surface.').waitFor();
    await changes(volume, 'thickness', () => sizes.getByRole('button', { name: 'the card lay on the table: take the volume\u2019s thickness' }).click(), '2.5', 'thickness');
    await unfold(sizes, '1 filled in');
    equal(await field(sizes, 'an outline\u2019s knots').getAttribute('placeholder'), '2, the usual', 'what is taken where nothing is said');
    await changes(volume, 'a figure', () => write(field(sizes, 'a corner set by hand'), '0.75'), '', '7');
    await changes(volume, 'one more', () => write(field(sizes, 'an outline\u2019s knots'), '3'), '', ', outline: 3');
    await sizes.getByText('2 filled in').waitFor();
    equal(await window.axe(), [], 'axe-core');
    const before = read(volume);
    window.expect(/422/);
    await write(field(sizes, 'a corner set by hand'), 'small');
    await leaf.getByRole('group', { name: 'not saved: a corner set by hand' }).getByRole('button', { name: 'Give it up' }).click();
    equal(read(volume), before, 'what is no number');
  });
});

test('under another number the browser finds again what it keeps of the volume', async () => {
  await atDesk(async ({ volume, window }) => {
    await openLeaf(window);
    await changes(volume, 'the number', () => write(field(part(window, 'The volume itself'), 'number'), 'PSR-9'), '1887-03', '9');
    await until('the page to know it', async () => (await window.ask('/volume')).id === 'PSR-9');
    await window.saved();
    window.expect(/request failed: .*net::ERR_ABORTED/); // a reload cuts off what is asked just then
    await until('the browser to know it', async () => (await window.kept()).includes('called/PSR-9'));
    await window.reload();
    await openLeaf(window);
    await changes(volume, 'undo', () => leafOf(window).getByRole('button', { name: 'Undo' }).click(), '9', '1887-03');
  });
});

test('cards, cameras and lenses are put in under their names, and mended', async () => {
  await atDesk(async ({ volume, window }) => {
    await openLeaf(window);
    const cards = part(window, 'Cards');
    const bench = await openEntry(cards, 'bench: a6');
    await changes(volume, 'a check line', () => write(field(bench, 'line along it'), '99.8'), '7', '8');
    await unfold(bench, 'Its grey steps');
    await changes(volume, 'grey steps', () => write(field(bench, 'its greys'), '95.1, -0.4, 1.2\n50 0 0'), '', ', greys-lab: [[95.1, -0.4, 1.2], [50, 0, 0]]');
    await changes(volume, 'one of them', () => write(field(bench, 'its greys'), '95.1 -0.4 1.2\n51 0 0'), '0', '1');
    await cards.getByRole('button', { name: 'Add a card' }).click();
    const fresh = cards.getByRole('group', { name: 'New card' });
    await fresh.getByRole('textbox', { name: 'name', exact: true }).fill('bench');
    await pick(fresh, 'which card', 'id', /^id1/);
    await fresh.getByRole('button', { name: 'Put it in' }).click();
    await fresh.getByRole('alert').filter({ hasText: 'Another card has that name already.' }).waitFor();
    await field(fresh, 'name').fill('second bench');
    await changes(volume, 'a card', () => fresh.getByRole('button', { name: 'Put it in' }).click(), '', '  second bench: {design: id1}\n');
    const cameras = part(window, 'Cameras');
    await cameras.getByRole('button', { name: 'Add a camera' }).click();
    const camera = cameras.getByRole('group', { name: 'New camera' });
    await pick(camera, 'camera', '24', 'Larkfield LF-24'); // that the photographs were taken with
    await field(camera, 'its clock').fill('Z');
    await changes(volume, 'a camera', () => camera.getByRole('button', { name: 'Put it in' }).click(), '', '  Larkfield LF-24: {clock-offset: Z}\n');
    await changes(volume, 'gone again', async () => {
      await (await openEntry(cameras, 'LF-24')).getByRole('button', { name: 'Take this camera out' }).click();
    }, '  Larkfield LF-24: {clock-offset: Z}\n', '');
    await lens(volume, window);
  });
});

async function lens(volume, window) {
  const lenses = part(window, 'Lenses');
  await lenses.getByRole('button', { name: 'Add a lens' }).click();
  const fresh = lenses.getByRole('group', { name: 'New lens' });
  for (const [name, text] of [['lens', 'macro'], ['pictures of', '6000 x 4000'], ['centre, x', '3004'], ['centre, y', '1996'], ['k1', '-0.012']])
    await field(fresh, name).fill(text);
  window.expect(/422/);
  await fresh.getByRole('button', { name: 'Put it in' }).click();
  await fresh.getByRole('alert').filter({ hasText: 'no \u201cdistance (f)\u201d' }).waitFor();
  equal(await window.axe(), [], 'axe-core, an entry that lacks something');
  await field(fresh, 'distance (f)').fill('10012');
  await changes(volume, 'a lens', () => fresh.getByRole('button', { name: 'Put it in' }).click(), '',
    'lenses:\n  - {lens: "macro", size: 6000 x 4000, f-px: 10012, cx: 3004, cy: 1996, k1: -0.012}\n');
}

test('in a language with a decimal comma figures are read and written in its manner, and stand in the record with points', async () => {
  const inGerman = (volume) => volume.write(FILE, `${read(volume)}language: de\n`);
  await atDesk(async ({ volume, window }) => {
    await window.keys('b');
    const bench = await openEntry(window.page.locator('#leaf'), 'bench: a6');
    const along = bench.locator('.with-unit input').first();
    equal(await along.inputValue(), '99,7', 'a figure');
    await changes(volume, 'a check line', () => write(along, '99,85'), '7', '85');
    await bench.locator('details.more > summary').click();
    await changes(volume, 'grey steps', () => write(bench.locator('details.more textarea'), '95,1 -0,4 1,2\n50, 0, 0'),
      '', ', greys-lab: [[95.1, -0.4, 1.2], [50, 0, 0]]');
    await until('as they are written there', async () => await bench.locator('details.more textarea').inputValue() === '95,1 -0,4 1,2\n50 0 0');
    equal(await window.axe(), [], 'axe-core');
  }, { prepare: inGerman });
});

test('photographs are chosen by their pictures, marks by their number', async () => {
  await atDesk(async ({ volume, window }) => {
    await openLeaf(window);
    const front = await openEntry(part(window, 'Plates'), 'Front board');
    equal(await chosen(front, 'after').innerText().then((text) => text.split('\n')[0]), 'front board, after treatment', 'what is chosen, by its name');
    const before = read(volume);
    await choose(front, 'after');
    equal(await chooserOf(front, 'after').getByRole('button', { name: /before treatment/ }).count(), 0, 'photographs of another stage');
    await window.picture('volume-photographs');
    equal(await window.axe(), [], 'axe-core, photographs to choose from');
    await chooserOf(front, 'after').getByRole('button', { name: /^head, after/ }).click();
    await becomes(volume, before, 'before: before/LF24_0412.jpg, after: after/LF24_0502.jpg', `before: before/LF24_0412.jpg, after: "${HEAD_AFTER}"`);
    check(!await chooserOf(front, 'after').isVisible(), 'one was to be chosen');
    await choose(front, 'detail', /^front board, before treatment/, /^3\b.*stain/);
    await until('a mark', () => read(volume).includes(`after: "${HEAD_AFTER}", detail: "${FRONT}#3"}`));
    await chosen(front, 'detail').filter({ hasText: 'mark 3: stain, cloth side' }).waitFor();
    const step = await openEntry(part(window, 'Treatment'), 'Gatherings 9 and 10');
    await choose(step, 'photographs', /^spine.*during treatment/);
    await until('a photograph of the work', () => /lifted with a poultice.*photos: \["during\/[^"]+"\]\}|photos: \["during\/[^"]+"\], differs/.test(read(volume)));
    const one = read(volume);
    await chooserOf(step, 'photographs').getByRole('button', { pressed: false }).first().click();
    await until('two', async () => await chosen(step, 'photographs').count() === 2 && read(volume) !== one);
    equal(stretch(one, read(volume)).from, '', 'nothing of the first is written anew');
    await chosen(step, 'photographs').last().getByRole('button', { name: /^Take out/ }).click();
    await until('one again', () => read(volume) === one);
    const piece = await openEntry(part(window, 'Pieces'), 'endband at the head');
    await choose(piece, 'photograph', /^head, before/, 'the whole photograph');
    await until('the photograph of a piece', () => /what: "endband at the head".*photo: "before\/LF12_0032\.jpg"/.test(read(volume)));
  });
});

test('what a decision is about, and what a consent leaves out: marks, pieces, parts, several of them', async () => {
  await atDesk(async ({ volume, window }) => {
    await openLeaf(window);
    const lining = await openEntry(part(window, 'Decisions'), 'Keep the brown lining');
    await chosen(lining, 'about').filter({ hasText: 'P5 brown paper lining of the spine' }).waitFor();
    await choose(lining, 'about', /^P1 spine leather/);
    await until('a piece', () => read(volume).includes('about: [P5, "P1"]'));
    await pick(chooserOf(lining, 'about'), 'or a part', 'sew', /^sewing$/);
    await until('a part', () => read(volume).includes('about: [P5, "P1", "sewing"]'));
    await pick(chooserOf(lining, 'about'), 'or a part', 'old thread', /^as written: old thread/);
    await until('other words', () => read(volume).includes('about: [P5, "P1", "sewing", "old thread"]'));
    await window.picture('volume-about');
    equal(await window.axe(), [], 'axe-core');
    await chooserOf(lining, 'about').getByRole('button', { name: 'Done' }).click();
    await chosen(lining, 'about').filter({ hasText: 'sewing' }).getByRole('button', { name: 'Take out: sewing' }).click();
    await until('the part gone', () => read(volume).includes('about: [P5, "P1", "old thread"]'));
    const show = await openEntry(part(window, 'Consents'), /show publicly.*limited|limited.*show publicly/s);
    equal(await chosen(show, 'but not').count(), 2, 'what is left out');
    await choose(show, 'but not', /^front board, before treatment/, /^9\b/);
    await until('a mark left out', () => read(volume).includes('except: [during/LF12_0044.jpg, "before/LF24_0413.jpg#4", "before/LF24_0412.jpg#9"]'));
  });
});

test('who agreed, and to what, is chosen from the words that count; a day stands in words beside its field', async () => {
  await atDesk(async ({ volume, window }) => {
    await openLeaf(window);
    const consents = part(window, 'Consents');
    await consents.getByRole('button', { name: 'Add a consent' }).click();
    const fresh = consents.getByRole('group', { name: 'New consent' });
    await fresh.getByRole('combobox', { name: 'by', exact: true }).click();
    await fresh.getByRole('option', { name: 'owner' }).click();
    await fresh.getByRole('combobox', { name: 'to', exact: true }).click();
    await window.picture('volume-consent');
    await fresh.getByRole('option', { name: 'show publicly' }).click();
    await fresh.getByRole('radio', { name: 'given' }).check({ force: true });
    await fresh.getByLabel('date', { exact: true }).fill('2026-06-03');
    await fresh.getByText('3 June 2026', { exact: true }).waitFor();
    equal(await window.axe(), [], 'axe-core');
    await changes(volume, 'the consent', () => fresh.getByRole('button', { name: 'Put it in' }).click(), '',
      '  - {on: 2026-06-03, by: "owner", to: "show publicly", is: given}\n');
    await part(window, 'What for, and when').getByText('20 May 2026', { exact: true }).waitFor(); // returned
  });
});

test('in German a day stands in words, as its documents have it', async () => {
  const inGerman = (volume) => volume.write(FILE, `${read(volume)}language: de\n`);
  await atDesk(async ({ window }) => {
    await window.keys('b');
    await window.page.locator('#leaf').getByText('20. Mai 2026', { exact: true }).waitFor();
  }, { prepare: inGerman });
});

test('what leads nowhere says so, and can be taken out', async () => {
  const spoil = (volume) => volume.write(FILE, read(volume).replace('photos: [during/LF12_0063.jpg]', 'photos: [during/LOST.jpg]')
    .replace('about: [P5]', 'about: ["before/LF24_0412.jpg#99"]'));
  await atDesk(async ({ volume, window }) => {
    await openLeaf(window);
    const lining = await openEntry(part(window, 'Decisions'), 'Keep the brown lining');
    await chosen(lining, 'about').filter({ hasText: 'it has no such mark' }).waitFor();
    const step = await openEntry(part(window, 'Treatment'), 'New leather set in');
    await chosen(step, 'photographs').filter({ hasText: 'not in this volume' }).getByRole('button').click();
    await until('gone', () => !read(volume).includes('LOST.jpg'));
  }, { prepare: spoil });
});

test('parts and terms are found by a few letters; a term that is none goes into words', async () => {
  await atDesk(async ({ volume, window }) => {
    await openLeaf(window);
    const seen = part(window, 'What no photograph shows');
    const joint = await openEntry(seen, 'holds by the cords');
    await changes(volume, 'a term', () => pick(joint, 'term', 'split', /^split joint/), '', ', term: split joint');
    await seen.getByRole('button', { name: 'Add an observation' }).click();
    const fresh = seen.getByRole('group', { name: 'New observation' });
    await pick(fresh, 'part', 'endl', /^endleaf/);
    const term = fresh.getByRole('combobox', { name: 'term', exact: true });
    await term.fill('quite wonky');
    await fresh.getByRole('button', { name: 'Put it in' }).click(); // not before it is said what is meant
    check(await fresh.isVisible(), 'words that are no term are asked about');
    await fresh.getByRole('option', { name: 'in words: quite wonky' }).click();
    equal(await field(fresh, 'in words').inputValue(), 'quite wonky', 'in words');
    equal(await window.axe(), [], 'axe-core');
    const before = read(volume);
    await fresh.getByRole('button', { name: 'Put it in' }).click();
    await until('the observation', () => read(volume) !== before);
    check(/^ {2}- \{part: "endleaf", says: "quite wonky", on: \d{4}-\d{2}-\d{2}\}\n$/.test(stretch(before, read(volume)).to), stretch(before, read(volume)).to);
  });
});

test('two windows in conflict over plates: both are shown, one is chosen, and the leaf is there again', async () => {
  await atDesk(async ({ volume, window, another }) => {
    const other = await another();
    for (const one of [window, other]) one.expect(/412/);
    for (const one of [window, other]) await openLeaf(one);
    const release = await other.hold('**/record/edit');
    const mine = await openEntry(part(other, 'Plates'), 'Spine');
    await choose(mine, 'after', /^tail, after/);
    const gone = await openEntry(part(window, 'Plates'), 'Front board');
    await gone.getByRole('button', { name: 'Take this plate out' }).click();
    const theirs = await openEntry(part(window, 'Plates'), 'Spine');
    await choose(theirs, 'after', /^head, after/);
    await until('theirs on the disk', () => read(volume).includes(`title: "Spine", before: before/LF12_0031.jpg, after: "${HEAD_AFTER}"`) && !read(volume).includes('title: "Front board"'));
    release();
    await other.page.getByRole('button', { name: 'See both and choose' }).click();
    const both = other.page.getByRole('region', { name: /^Two versions/ });
    for (const name of ['head', 'tail']) await both.getByText(`${name}, after treatment`).waitFor(); // no bare file
    equal(await other.axe(), [], 'axe-core');
    await both.getByRole('button', { name: 'Back to the volume' }).click();
    await leafOf(other).waitFor();
    await other.page.getByRole('button', { name: 'See both and choose' }).click();
    await both.getByRole('group', { name: /after/ }).getByRole('radio').first().check({ force: true });
    await both.getByRole('button', { name: 'Save this choice' }).click();
    await leafOf(other).waitFor();
    await until('the choice', () => read(volume).includes('- {title: "Spine", before: before/LF12_0031.jpg, after: "after/LF12_0073.jpg"'));
    check(!read(volume).includes('title: "Front board"'), 'what the other took out stays out');
    await until('the plates on the leaf', async () => (await part(other, 'Plates').locator('details').first().innerText()).includes('head corner'));
  });
});

test('photographs are chosen by keys alone, and nothing is too small for a finger', async () => {
  await atDesk(async ({ volume, window }) => {
    const leaf = await openLeaf(window);
    const piece = await openEntry(part(window, 'Pieces'), 'endband at the head');
    await piece.getByRole('button', { name: 'Choose a photograph or mark' }).focus();
    await window.keys('Enter', 'Enter'); // the first photograph has the focus
    await chooserOf(piece, 'photograph').getByRole('button', { name: /^1\b.*loss/ }).waitFor();
    await window.keys('Tab', 'Tab');
    const small = await leaf.locator('button, summary, input:not([type=radio]), textarea, select, .word').evaluateAll((nodes) => nodes
      .filter((node) => node.offsetParent && node.getBoundingClientRect().height < 43.5).map((node) => node.outerHTML.slice(0, 90)));
    equal(small, [], 'targets under 44 px');
    await window.keys('Enter');
    await until('the mark', () => read(volume).includes(`photo: "${FRONT}#1"`));
    await until('the focus back', () => piece.getByRole('button', { name: 'Choose another' }).evaluate((node) => node === document.activeElement));
    await window.keys('Enter', 'Escape');
    check(!await chooserOf(piece, 'photograph').isVisible() && await leaf.isVisible(), 'Escape puts away the photographs, not the leaf');
    const scrolled = () => leaf.locator('.parts').evaluate((node) => node.scrollTop);
    const was = await scrolled();
    check(was > 0, 'the leaf is scrolled');
    await window.frames(); // and knows it
    await window.keys('Escape');
    await until('the bench', async () => !await leaf.isVisible());
    await window.keys('b');
    await until('the leaf as it was left', async () => await leaf.isVisible() && await scrolled() === was);
  });
});

for (const colorScheme of ['light', 'dark'])
  test(`the new forms on a narrow screen, ${colorScheme}`, async () => {
    await atDesk(async ({ window }) => {
      await openLeaf(window);
      await window.picture(`volume-narrow-top-${colorScheme}`);
      const piece = await openEntry(part(window, 'Pieces'), 'endband at the head');
      await window.press(piece.getByRole('button', { name: 'Choose a photograph or mark' }));
      await window.press(chooserOf(piece, 'photograph').getByRole('button', { name: /^front board, before/ }));
      await chooserOf(piece, 'photograph').getByRole('button', { name: /^1\b.*loss/ }).waitFor();
      await window.picture(`volume-narrow-photographs-${colorScheme}`);
      for (const summary of await leafOf(window).locator('details.more > summary').all()) if (await summary.isVisible()) await summary.click();
      const wide = await window.page.evaluate(() => Math.max(document.documentElement.scrollWidth, document.querySelector('.leaf-body').scrollWidth));
      check(wide <= 320, `${wide} px wide`);
      equal(await window.axe(), [], 'axe-core');
    }, { viewport: { width: 320, height: 640 }, colorScheme, hasTouch: true });
  });

await run(stopBrowser);
