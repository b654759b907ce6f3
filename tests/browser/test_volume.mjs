// The leaf "The volume": all of volume.yaml is read and filled in there, word by word, as the text says it.

import { FRONT, FRONT_NAME, check, equal, platewright, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { FILE, becomes, leafOf, openEntry, openLeaf, part, read } from './volume.mjs';
import { stopBrowser } from './window.mjs';

test('words are read and written one by one, and no other byte moves', async () => {
  await atDesk(async ({ volume, window }) => {
    const leaf = await openLeaf(window);
    equal(await window.axe(), [], 'axe-core');
    await window.picture('volume');
    let before = read(volume);
    const title = part(window, 'The volume itself').getByRole('textbox', { name: 'title' });
    equal(await title.inputValue(), 'Pilots\' Register of Soundings and Marks, No. 3', 'the title');
    await title.fill('Pilots\' "Register" # 3');
    await title.blur();
    await becomes(volume, before, 'title: "Pilots\' Register of Soundings and Marks, No. 3"', 'title: "Pilots\' \\"Register\\" # 3"');
    before = read(volume);
    await part(window, 'What for, and when').getByLabel('returned', { exact: true }).fill('2026-05-22');
    await part(window, 'What for, and when').getByLabel('returned', { exact: true }).press('Enter');
    await becomes(volume, before, 'returned: 2026-05-20', 'returned: 2026-05-22');
    before = read(volume);
    const care = part(window, 'Care').getByRole('textbox');
    await care.fill((await care.inputValue()).replace('Keep from direct light; the cloth fades.', 'Keep dark.\nKeep dry.'));
    await care.blur();
    await until('two for one', () => /- "Keep dark\."\n {2}- "Keep dry\."\n/.test(read(volume)));
    const piece = await openEntry(part(window, 'Pieces'), 'pressed fern');
    before = read(volume);
    await piece.getByRole('textbox', { name: 'kept in' }).fill('envelope 9');
    await piece.getByRole('textbox', { name: 'kept in' }).blur();
    await becomes(volume, before, /kept: "envelope 1", outcome: replaced/, 'kept: "envelope 9", outcome: replaced');
    await window.picture('volume-piece');
    equal(await window.axe(), [], 'axe-core with an entry open');
    await leaf.getByRole('button', { name: 'Undo' }).click();
    await until('the word before', () => read(volume) === before);
  });
});

test('an entry is put in, mended, taken out, and brought back', async () => {
  await atDesk(async ({ volume, window }) => {
    await openLeaf(window);
    const treatment = part(window, 'Treatment');
    await treatment.getByRole('button', { name: 'Add a step of treatment' }).click();
    const fresh = treatment.getByRole('group', { name: 'New step of treatment' });
    await fresh.getByRole('textbox', { name: 'materials' }).fill('box board');
    window.expect(/422/);
    await fresh.getByRole('button', { name: 'Put it in' }).click();
    await fresh.getByRole('alert').filter({ hasText: 'no “done”' }).waitFor(); // the record says what is lacking
    await window.picture('volume-lacking');
    await fresh.getByRole('textbox', { name: 'done', exact: true }).fill('Boxed.');
    await fresh.getByLabel('date', { exact: true }).fill('2026-05-15');
    await fresh.getByRole('button', { name: 'Put it in' }).click();
    await until('the step', () => /\n {2}- \{on: 2026-05-15, by: "M\. Tarrowby", did: "Boxed\.", materials: "box board"\}\nestimate/.test(read(volume)));
    const with7 = read(volume);
    const first = await openEntry(treatment, 'Surface cleaning');
    await first.getByRole('button', { name: 'Take this step of treatment out' }).click();
    const last = await openEntry(treatment, 'Boxed.'); // it is called by another place by now
    await last.getByRole('textbox', { name: 'hours' }).fill('0.5');
    await last.getByRole('textbox', { name: 'hours' }).blur();
    await until('hours', () => /did: "Boxed\.", materials: "box board", hours: 0\.5\}/.test(read(volume)));
    check(!read(volume).includes('Surface cleaning'), 'the first is out');
    const undo = leafOf(window).getByRole('button', { name: 'Undo' });
    await undo.click();
    await undo.click();
    await until('the first again', () => /materials: "box board"\}\n {2}- \{.*Surface cleaning/.test(read(volume)));
    const lines = (text) => text.replaceAll('"', '').split('\n').sort(); // prose that comes back is in quotes
    equal(lines(read(volume)), lines(with7), 'every line of it');
  });
});

test('a new entry that is half filled in is there after a reload, until it is put in or left', async () => {
  await atDesk(async ({ volume, window }) => {
    window.expect(/request failed: .*net::ERR_ABORTED/); // a reload cuts off what is asked just then
    await openLeaf(window);
    const list = () => part(window, 'Pieces');
    const fresh = () => list().getByRole('group', { name: 'New piece' });
    const kept = () => fresh().getByText(/This browser keeps it/);
    const forgotten = () => until('the browser to keep no entry', async () => !(await window.kept()).some((name) => name.startsWith('entry/')));
    const before = read(volume);
    const again = async () => {
      await window.reload();
      await openLeaf(window);
    };
    await list().getByRole('button', { name: 'Add a piece' }).click();
    check(!await kept().isVisible(), 'nothing is kept yet');
    await fresh().getByRole('textbox', { name: 'what it is' }).fill('a thread');
    await kept().waitFor();
    await window.picture('volume-kept');
    await again();
    await kept().waitFor();
    equal(await fresh().getByRole('textbox', { name: 'what it is' }).inputValue(), 'a thread', 'what was written');
    await list().getByRole('button', { name: 'Add a piece' }).click(); // it is open already
    await fresh().getByRole('radio', { name: 'removed' }).check({ force: true });
    equal(read(volume), before, 'the text');
    await fresh().getByRole('button', { name: 'Put it in' }).click();
    await until('the piece', () => /\n {2}- \{id: P7, .*what: "a thread".*\}/.test(read(volume)));
    await window.saved();
    await forgotten();
    await again();
    await list().getByText('a thread').waitFor();
    await forgotten();
    check(!await fresh().isVisible(), 'nothing is left of it');
    await list().getByRole('button', { name: 'Add a piece' }).click();
    await fresh().getByRole('textbox', { name: 'what it is' }).fill('another');
    await kept().waitFor();
    await fresh().getByRole('button', { name: 'Leave it' }).click();
    await forgotten();
    await again();
    await list().getByText('a thread').waitFor();
    await forgotten();
    check(!await fresh().isVisible(), 'what was left');
  });
});

test('each window has a new entry of its own, and one that is closed leaves its own to the next', async () => {
  await atDesk(async ({ window, another }) => {
    const other = await another({ session: window });
    window.expect(/request failed: .*net::ERR_ABORTED/); // to be closed cuts off what is asked just then
    const fresh = (one) => part(one, 'Pieces').getByRole('group', { name: 'New piece' });
    const what = (one) => fresh(one).getByRole('textbox', { name: 'what it is' });
    const kept = (one) => fresh(one).getByText(/This browser keeps it/);
    const isThere = async (one, words) => {
      await openLeaf(one);
      await kept(one).waitFor();
      equal(await what(one).inputValue(), words, 'what was written');
    };
    for (const [one, words] of [[window, 'a thread'], [other, 'a clasp']]) {
      await openLeaf(one);
      await part(one, 'Pieces').getByRole('button', { name: 'Add a piece' }).click();
      await what(one).fill(words);
      await kept(one).waitFor();
    }
    await window.reload();
    await isThere(window, 'a thread');
    await fresh(other).getByRole('button', { name: 'Leave it' }).click();
    await until('the browser to keep one', async () => (await window.kept()).filter((name) => name.startsWith('entry/')).length === 1);
    await window.page.close();
    const next = await another({ session: window });
    await isThere(next, 'a thread');
    await other.reload();
    await openLeaf(other);
    await part(other, 'Pieces').getByText('pressed fern').waitFor();
    check(!await fresh(other).isVisible(), 'what is the other window\'s');
  });
});

test('pieces that are open stand first, in words; the estimate adds up as the record does', async () => {
  const spoil = (volume) => volume.write(FILE, read(volume).replace(', outcome: housed, on: 2026-05-19}\ndecisions', '}\ndecisions'));
  await atDesk(async ({ volume, window }) => {
    const leaf = await openLeaf(window);
    const alarm = leaf.getByRole('status').filter({ hasText: 'not accounted for' });
    equal(await alarm.getByRole('listitem').count(), 1, 'open pieces');
    equal(await part(window, 'Pieces').locator('summary .number').first().innerText(), 'P6', 'the first of the list');
    await window.picture('volume-open-piece');
    await alarm.getByRole('button', { name: /P6/ }).click();
    const piece = part(window, 'Pieces').locator('details[open]');
    await piece.getByRole('radio', { name: 'housed' }).check({ force: true });
    await until('it is closed', async () => !(await alarm.isVisible()));
    check(/id: P6.*outcome: housed\}/.test(read(volume)), 'the outcome');
    const sum = part(window, 'Estimate').getByRole('status');
    const total = async () => /total\s*([\d.]+)/.exec(await sum.innerText())?.[1];
    // by hand: 32 x 68.00 + 64.50 + 118.00 = 2358.50; 21 % of it is 495.285, half away from zero 495.29
    equal(await total(), '2853.79', 'the total');
    const box = await openEntry(part(window, 'Estimate'), 'box');
    await box.getByRole('textbox', { name: 'or a cost' }).fill('120');
    await box.getByRole('textbox', { name: 'or a cost' }).blur();
    await until('the new total', async () => await total() === '2856.21'); // 2360.50 + 495.71
  }, { prepare: spoil });
});

test('a word that the record does not take stays on the leaf, with the reason, until it is mended', async () => {
  await atDesk(async ({ volume, window }) => {
    const leaf = await openLeaf(window);
    window.expect(/422/);
    const before = read(volume);
    const mass = part(window, 'The volume itself').getByRole('textbox', { name: 'mass' });
    await mass.fill('heavy');
    await mass.blur();
    const left = leaf.getByRole('group', { name: 'not saved: mass' });
    await left.waitFor();
    equal(await mass.inputValue(), '4.9', 'the field shows the record');
    equal(read(volume), before, 'nothing was written');
    await window.picture('volume-not-taken');
    equal(await window.axe(), [], 'axe-core');
    await left.getByRole('textbox').fill('5.1');
    await left.getByRole('button', { name: 'Save it so' }).click();
    await becomes(volume, before, 'mass: 4.9', 'mass: 5.1');
    await until('it is gone', async () => await left.count() === 0);
    await window.saved();
  });
});

test('what was not taken is told in the line on top, and goes when what stands there is written again', async () => {
  await atDesk(async ({ volume, window }) => {
    await openLeaf(window);
    window.expect(/422/, /request failed: .*net::ERR_ABORTED/); // a reload cuts off what is asked just then
    const before = read(volume);
    const size = () => part(window, 'The volume itself').getByRole('textbox', { name: 'size' });
    const right = await size().inputValue();
    const left = () => leafOf(window).getByRole('group', { name: 'not saved: size' });
    const top = window.page.getByRole('banner');
    const told = () => until('the line on top to tell', async () => /not saved\s+\u00b7 The volume/.test(await top.innerText()));
    await size().fill('412 x 276 x');
    await left().waitFor();
    await told();
    equal(await top.getByText('saved', { exact: true }).count(), 0, 'said to be saved');
    await window.picture('volume-not-saved');
    equal(await window.axe(), [], 'axe-core');
    await window.reload();
    await told(); // before the leaf is opened
    await openLeaf(window);
    await left().waitFor();
    await size().fill('412 x 276 x 6 x');
    await until('the field to show the record', async () => await size().inputValue() === right);
    await told();
    await size().fill(right);
    await until('the band gone', async () => await left().count() === 0 && await window.page.locator('#alarms .refused').count() === 0);
    await window.saved();
    equal(read(volume), before, 'the text');
  });
});

test('no key does anything to the bench that lies behind a leaf', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    await window.keys('n');
    await window.slip.getByText('Mark 1:').waitFor();
    const [before, title] = [volume.sidecar(FRONT), await window.page.title()];
    const leaf = await openLeaf(window);
    await part(window, 'Consents').getByRole('button', { name: 'Add a consent' }).focus();
    await window.keys('n', 'c', 'a', 'x', ']', 'PageDown', 'd', 'w', 'g', 'N');
    check(await leaf.isVisible(), 'the leaf lies there');
    await window.keys('Escape');
    await until('the bench', async () => !(await leaf.isVisible()));
    equal(await window.page.title(), title, 'the photograph');
    await window.slip.getByText('Mark 1:').waitFor();
    equal(await window.page.getByRole('toolbar').getByRole('button', { name: 'Look', exact: true }).getAttribute('aria-pressed'), 'true', 'the tool in hand');
    equal(volume.sidecar(FRONT), before, 'the text');
    await window.keys('a'); // in sight it does
    await until('the tool', async () => await window.page.getByRole('toolbar').getByRole('button', { name: 'Area', exact: true }).getAttribute('aria-pressed') === 'true');
  });
});

test('two windows at once: both versions are shown, what only one touched is chosen, nothing is lost', async () => {
  await atDesk(async ({ volume, window, another }) => {
    const other = await another();
    for (const one of [window, other]) one.expect(/412/);
    for (const one of [window, other]) await openLeaf(one);
    const release = await other.hold('**/record/edit');
    const purpose = part(other, 'What for, and when').getByRole('textbox', { name: 'purpose' });
    await purpose.fill('a loan');
    await purpose.blur();
    const step = await openEntry(part(other, 'Treatment'), 'Torn leaf mended');
    await step.getByRole('textbox', { name: 'hours' }).fill('3');
    await step.getByRole('textbox', { name: 'hours' }).blur();
    const gone = await openEntry(part(window, 'Treatment'), 'Surface cleaning');
    await gone.getByRole('button', { name: 'Take this step of treatment out' }).click();
    const mine = part(window, 'What for, and when').getByRole('textbox', { name: 'purpose' });
    await mine.fill('a show');
    await mine.blur();
    await until('the first window\u2019s words', () => /purpose: "a show"/.test(read(volume)) && !read(volume).includes('Surface cleaning'));
    release();
    await other.page.getByRole('button', { name: 'See both and choose' }).click();
    const both = other.page.getByRole('region', { name: /^Two versions/ });
    await both.getByText('a show').waitFor();
    await both.getByText('a loan').waitFor();
    await other.picture('volume-merge');
    equal(await other.axe(), [], 'axe-core');
    await both.getByRole('group', { name: /purpose/ }).getByRole('radio').first().check({ force: true });
    await both.getByRole('button', { name: 'Save this choice' }).click();
    await leafOf(other).waitFor(); // not the bench: there one was not
    await until('the choice', () => /purpose: "a loan"/.test(read(volume)));
    await until('hours of the step that was meant', () => /Torn leaf mended.*hours: 3\}/.test(read(volume)));
    check(!read(volume).includes('Surface cleaning'), 'what the other took out stays out');
    equal(platewright('check', volume.path).out.includes('volume.yaml:'), false, 'the text reads');
  });
});

test('a photograph of the work becomes a step of the treatment by one touch: only the hours are asked', async () => {
  await atDesk(async ({ volume, window }) => {
    window.expect(/request failed: .*net::ERR_ABORTED/); // a reload cuts off what is asked just then
    const release = await window.hold('**/photo/*');
    await window.reload();
    await window.face('Photograph');
    equal(await window.slip.getByRole('button', { name: 'Put it into the treatment' }).isVisible(), false, 'a button before there is a photograph');
    release();
    await window.press(window.page.getByRole('navigation').getByRole('button', { name: /during treatment/ }).first());
    await window.face('Photograph');
    await window.slip.getByRole('button', { name: 'Put it into the treatment' }).click();
    const hours = part(window, 'Treatment').locator('details[open]').getByRole('textbox', { name: 'hours' });
    await until('the hours to be asked', () => hours.evaluate((node) => node === document.activeElement));
    await window.keys('1', '.', '5', 'Tab');
    await until('the step', () => /photos: \["during\/[^"]+"\], hours: 1\.5\}|hours: 1\.5, photos/.test(read(volume)));
    await window.picture('volume-treatment');
  });
});

test('on a narrow screen and by keys alone, light and dark', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.page.locator('#large').focus();
    await window.keys('b');
    const leaf = leafOf(window);
    await leaf.waitFor();
    await part(window, 'Consents').getByRole('button', { name: 'Add a consent' }).focus();
    await window.keys('Enter', 'Tab', 'Tab');
    for (let i = 0; i < 3 && await window.page.evaluate(() => document.activeElement.type) === 'date'; i += 1) await window.keys('Tab');
    await window.page.keyboard.type('owner');
    await window.keys('Tab');
    await window.page.keyboard.type('treatment');
    await window.keys('Tab', 'ArrowRight');
    await part(window, 'Consents').getByRole('button', { name: 'Put it in' }).focus();
    await window.keys('Enter');
    await until('the consent', () => /by: "owner", to: "treatment", is: given\}\ncare/.test(read(volume)));
    const small = await leaf.locator('button, summary, input:not([type=radio]), textarea, .word').evaluateAll((nodes) => nodes
      .filter((node) => node.offsetParent && node.getBoundingClientRect().height < 43.5).map((node) => node.outerHTML.slice(0, 90)));
    equal(small, [], 'targets under 44 px');
    await window.keys('Escape');
    await until('the bench', async () => !(await leaf.isVisible()));
  });
  for (const colorScheme of ['light', 'dark'])
    await atDesk(async ({ window }) => {
      await openLeaf(window);
      const wide = await window.page.evaluate(() => document.documentElement.scrollWidth);
      check(wide <= 320, `${wide} px wide`);
      await openEntry(part(window, 'Decisions'), 'How far to go');
      await window.picture(`volume-narrow-${colorScheme}`);
      equal(await window.axe(), [], `axe-core, narrow and ${colorScheme}`);
    }, { viewport: { width: 320, height: 640 }, colorScheme, hasTouch: true });
});

await run(stopBrowser);
