// The leaf "Documents": each is chosen, looked at, saved and issued there, and is the one that the command makes.

import { createHash } from 'node:crypto';
import { copyFileSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { checkAlike, need } from './alike.mjs';
import { FRONT, check, equal, platewright, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { atKeyboard } from './keyboard.mjs';
import { BENCH, stopBrowser } from './window.mjs';

const TO_THE_INCH = 100; // px of pages that are compared
const A4 = [827, 1169];
const TEXT = { mean: 3 }; // a page full of small words has more edges than a plate: 2.0 here, of which at most 22 in a cell
const PORTRAIT = { width: 820, height: 1180 };
const PHONE = { width: 320, height: 700 };
const leafOf = (window) => window.page.getByRole('region', { name: 'Documents', exact: true });
const sheet = (window, name) => leafOf(window).getByRole('img', { name });
const inLeaf = (window, name) => leafOf(window).getByRole('button', { name, exact: true });

async function openLeaf(window) {
  if (!await window.button('Documents').isVisible()) await window.press(window.button('More'));
  await window.press(window.button('Documents'));
  await sheet(window, /^Receipt for the studio/).waitFor();
}

/** Chooses; words that are chosen already are passed over. */
async function choose(window, ...names) {
  for (const name of names) {
    const radio = leafOf(window).getByRole('radio', { name, exact: true });
    if (!await radio.isChecked()) await radio.check({ force: true });
  }
}

/** The page that is shown once something was done: {svg, pages, says}, as the server drew it. */
async function drawn(window, act, name) {
  let last = null;
  const keep = async (answer) => { if (/\/page\/\d+(\?|$)/.test(answer.url())) last = answer; };
  window.page.on('response', keep);
  await act();
  const picture = sheet(window, name);
  await until(`${name} to be seen`, async () => last !== null && picture.evaluate((img) => img.complete && img.naturalWidth > 300));
  window.page.off('response', keep);
  return last.json();
}

/** What a button has the browser save: its name and its bytes. */
async function saved(window, control) {
  const [download] = await Promise.all([window.page.waitForEvent('download'), window.press(control)]);
  return { name: download.suggestedFilename(), bytes: readFileSync(await download.path()) };
}

function made(volume, name, ...words) {
  const path = join(volume.top, name);
  const { status, err } = platewright(...words, path);
  equal(status, 0, err);
  return { bytes: readFileSync(path), says: err.trim().split('\n').map((line) => line.split(`${name}: `).at(-1)) };
}

/** What the leaf says was saved is what the command writes. */
async function checkSaved(window, control, name, { bytes, says }) {
  const file = await saved(window, control);
  equal(file.name, name, 'its name');
  check(file.bytes.equals(bytes), `${name}: other bytes than the command's`);
  for (const line of says) await leafOf(window).getByText(line, { exact: true }).first().waitFor();
}

const CHOICES = [['receipt', 'owner', 'de'], ['condition', 'public', 'en'], ['proposal', 'owner', 'en'], ['treatment', 'studio', 'de'], ['summary', 'public', 'de']];
const LANGUAGES = { de: 'German', en: 'English' };
const WORDS = { condition: 'condition report', treatment: 'treatment report' };

test('each kind is shown and saved as the command makes it', async () => {
  await atDesk(async ({ volume, window }) => {
    await openLeaf(window);
    for (const [kind, whom, language] of CHOICES) {
      const tail = whom === 'studio' ? '' : `-${whom}`;
      const words = ['report', volume.path, '--kind', kind, '--for', whom, '--language', language];
      const name = new RegExp(`^${WORDS[kind] ?? kind} for the ${whom}, ${LANGUAGES[language]}, page 1 of`, 'i');
      const page = await drawn(window, () => choose(window, WORDS[kind] ?? kind, whom, LANGUAGES[language]), name);
      const pdf = made(volume, 'made.pdf', ...words, '-o');
      equal(page.says, pdf.says.map((line) => line.replace(', PDF/A-1b', '')), 'what is told');
      await checkSaved(window, inLeaf(window, 'Save as PDF'), `PSR-1887-03-report-${kind}${tail}.pdf`, pdf);
      if (kind === 'summary') check(pdf.says.some((line) => line.includes('left out')), 'what was left out is told');
      if (kind === 'proposal') await checkSaved(window, inLeaf(window, 'Save as HTML'), `PSR-1887-03-report-${kind}${tail}.html`, { ...made(volume, 'made.html', ...words, '--html'), says: [] });
    }
    await drawn(window, () => choose(window, 'labels'), /^Labels/);
    await leafOf(window).getByLabel('from label').selectOption('5');
    const labels = made(volume, 'labels.pdf', 'labels', volume.path, '--language', 'de', '--start', '5', '-o');
    await checkSaved(window, inLeaf(window, 'Save as PDF'), 'PSR-1887-03-labels.pdf', labels);
    equal(await inLeaf(window, 'Issue it …').isVisible(), false, 'labels are not issued');
    await choose(window, 'summary');
    platewright('export', volume.path, '--to', 'csv', '--for', 'public', '-o', join(volume.top, 'tables'));
    const pieces = await saved(window, inLeaf(window, 'Pieces'));
    check(pieces.bytes.equals(readFileSync(join(volume.top, 'tables', 'pieces.csv'))), 'the table');
    equal(await inLeaf(window, 'Hours').count(), 0, 'hours are not for the public');
  });
});

test('only the photographs that were chosen are shown, in the style that was, and issued so', async () => {
  await atDesk(async ({ volume, window }) => {
    await openLeaf(window);
    await choose(window, 'condition report', 'owner');
    await sheet(window, /^Condition report for the owner, English, page 1 of/).waitFor();
    const whole = (await window.ask('/document/condition/owner/en/page/1')).pages;
    await window.press(inLeaf(window, 'Choose photographs'));
    const chooser = leafOf(window).getByRole('group', { name: 'showing: choose' });
    const print = (name) => chooser.getByRole('button', { name, exact: true });
    await print('spine, before treatment').waitFor();
    await window.picture('documents-choosing');
    equal(await window.axe(), [], 'axe-core, photographs to choose from');
    await drawn(window, () => window.press(print('spine, before treatment')), /^Condition report/);
    const fewer = await drawn(window, () => choose(window, 'in grey'), /^Condition report/);
    check(fewer.pages < whole, `${fewer.pages} of ${whole} pages`);
    await window.press(chooser.getByRole('button', { name: 'Done' }));
    const spine = (await window.ask('/volume')).photos.find(({ view, stage }) => view === 'spine' && stage === 'before').file;
    const words = ['report', volume.path, '--kind', 'condition', '--for', 'owner', '--language', 'en', '--only', spine, '--style', 'plate-grey'];
    const pdf = made(volume, 'made.pdf', ...words, '-o');
    equal(fewer.says, pdf.says.map((line) => line.replace(', PDF/A-1b', '')), 'what is told');
    await checkSaved(window, inLeaf(window, 'Save as PDF'), 'PSR-1887-03-report-condition-owner.pdf', pdf);
    await checkSaved(window, inLeaf(window, 'Save as HTML'), 'PSR-1887-03-report-condition-owner.html', { ...made(volume, 'made.html', ...words, '--html'), says: [] });
    await window.picture('documents-chosen');
    equal(await window.axe(), [], 'axe-core, chosen');
    await window.press(inLeaf(window, 'Issue it …'));
    await window.press(leafOf(window).getByRole('button', { name: 'Issue version 1 now' }));
    await leafOf(window).getByText(/^Issued as version 1/).waitFor();
    check(/photographs? that (?:was|were) not asked for/.test(volume.read('issued/PSR-1887-03-condition-v1-owner.txt')), 'what was issued');
    await drawn(window, () => window.press(inLeaf(window, 'Take out: spine, before treatment')), /^Condition report/);
    equal(await inLeaf(window, 'Choose photographs').evaluate((node) => node === document.activeElement), true, 'the hand is where it was');
    await choose(window, 'labels');
    equal(await inLeaf(window, 'Choose photographs').isVisible(), false, 'labels show none');
  });
});

test('a photograph that was chosen and has gone is told, and not passed over', async () => {
  const file = 'before/joint.jpg'; // to which nothing in the record points
  const add = (volume) => {
    copyFileSync(join(volume.path, FRONT), join(volume.path, file));
    volume.write(`${file}.yaml`, 'format: platewright-photo 1\nstage: before\nview: inner joint\n');
  };
  await atDesk(async ({ volume, window }) => {
    window.expect(/404/);
    await openLeaf(window);
    await window.press(inLeaf(window, 'Choose photographs'));
    await drawn(window, () => window.press(leafOf(window).getByRole('button', { name: 'inner joint, before treatment', exact: true })), /^Receipt/);
    for (const name of [file, `${file}.yaml`]) rmSync(join(volume.path, name));
    await leafOf(window).getByText('One of the photographs that were chosen is no longer there; take it out.').waitFor();
    equal(await inLeaf(window, 'Save as PDF').isDisabled(), true, 'nothing to save');
    await drawn(window, () => window.press(inLeaf(window, `Take out: ${file}`)), /^Receipt/);
  }, { prepare: add });
});

/** One plate alone, with so many marks that its callouts go on on further pages. */
function crowd(volume) {
  volume.write('volume.yaml', volume.read('volume.yaml').replace(/^(plates:\n  - .*\n)(?:  - .*\n)+/m, '$1'));
  const marks = Array.from({ length: 60 }, (_, i) => `  - {id: ${i + 100}, term: loss, part: front board, point: "${400 + 30 * i},${500 + 40 * i}", note: "place number ${i}"}\n`);
  volume.write(`${FRONT}.yaml`, volume.sidecar(FRONT) + marks.join(''));
}

test('its pages look as they are printed, text and plates, and are turned', async () => {
  ['pdftoppm', 'pdfinfo'].forEach(need);
  await atDesk(async ({ volume, window }) => {
    await openLeaf(window);
    const first = await drawn(window, () => choose(window, 'treatment report'), /^Treatment.* page 1 of/);
    const pdf = join(volume.top, 'treatment.pdf');
    equal(platewright('report', volume.path, '--kind', 'treatment', '-o', pdf).status, 0, 'report');
    await checkAlike(Buffer.from(first.svg), pdf, 1, A4, TEXT);
    const pages = new Map([[1, first]]);
    const turned = async (page) => pages.set(page, await drawn(window, () => inLeaf(window, 'Next page').click(), new RegExp(` page ${page} of ${first.pages}$`)));
    for (let page = 2; page <= 4; page += 1) await turned(page);
    await checkAlike(Buffer.from(pages.get(4).svg), pdf, 4, A4, TEXT);
    await inLeaf(window, 'Page before').click();
    await sheet(window, / page 3 of/).waitFor();
    // the last two are of one plate
    for (const page of [first.pages - 1, first.pages]) {
      const { svg } = await window.ask(`/document/treatment/studio/en/page/${page}`);
      const [, width, height] = /width="([\d.]+)pt" height="([\d.]+)pt"/.exec(svg).map(Number);
      await checkAlike(Buffer.from(svg), pdf, page, [width, height].map((pt) => Math.round((pt * TO_THE_INCH) / 72)), TEXT);
    }
  }, { prepare: crowd });
});

const kept = (volume) => readdirSync(join(volume.path, 'issued')).sort();
const errorsOf = (volume) => JSON.parse(platewright('check', volume.path, '--json').out).findings.filter(({ severity }) => severity === 'error');

test('a document is issued by a second touch, kept, told and saved again; the record stays sound', async () => {
  await atDesk(async ({ volume, window }) => {
    await openLeaf(window);
    await drawn(window, () => choose(window, 'proposal', 'owner'), /^Proposal for the owner/);
    const before = volume.read('volume.yaml');
    await window.press(inLeaf(window, 'Issue it …'));
    const panel = leafOf(window).getByRole('group', { name: 'Issue it' });
    await panel.getByText(/^Version 1 of the proposal for the owner, of .*: the PDF is kept in the folder/).waitFor();
    await window.picture('marking-documents');
    equal(await window.axe(), [], 'axe-core, asked');
    equal(volume.read('volume.yaml'), before, 'one touch does nothing');
    await window.press(panel.getByRole('button', { name: 'Not now' }));
    await window.press(inLeaf(window, 'Issue it …'));
    await window.press(panel.getByRole('button', { name: 'Issue version 1 now' }));
    await leafOf(window).getByText('Issued as version 1: issued/PSR-1887-03-proposal-v1-owner.pdf').waitFor();
    equal(kept(volume), ['PSR-1887-03-proposal-v1-owner.pdf', 'PSR-1887-03-proposal-v1-owner.txt'], 'what is kept');
    const entry = /issued:\n(?: {2}- .*\n)*/.exec(volume.read('volume.yaml'))[0];
    const again = await saved(window, leafOf(window).getByRole('button', { name: /^Save Proposal, version 1, for the owner/ }));
    check(entry.includes(createHash('sha256').update(again.bytes).digest('hex')), `the checksum: ${entry}`);
    check(again.bytes.equals(readFileSync(join(volume.path, 'issued', kept(volume)[0]))), 'the very file');
    equal(errorsOf(volume), [], 'check');
    await window.picture('documents-issued');
    equal(await window.axe(), [], 'axe-core, issued');
    await window.press(inLeaf(window, 'Issue it …'));
    await panel.getByRole('button', { name: 'Issue version 2 now' }).waitFor();
    await choose(window, 'summary');
    await until('the panel is for what is shown', async () => !await panel.isVisible());
    await window.keys('Escape');
    await window.keys('b'); // the volume tells of it
    await window.page.getByRole('region', { name: 'Issued' }).getByText(/^proposal, version 1, on .*, to owner/).waitFor();
  });
});

test('what is not made is told in the words of the record, with what to do', async () => {
  const withdraw = (volume) => volume.write('volume.yaml', volume.read('volume.yaml').replace(/to: show publicly, is: limited/, 'to: show publicly, is: withdrawn'));
  await atDesk(async ({ volume, window }) => {
    window.expect(/422/);
    await openLeaf(window);
    await choose(window, 'public');
    await leafOf(window).getByText('Consent to show publicly was withdrawn; nothing was made.').waitFor();
    equal(await inLeaf(window, 'Save as PDF').isDisabled(), true, 'nothing to save');
    equal(await inLeaf(window, 'Issue it …').isDisabled(), true, 'nothing to issue');
    await window.picture('documents-refused');
    equal(await window.axe(), [], 'axe-core, refused');
    await window.press(inLeaf(window, 'To the consents'));
    await until('the consents', () => window.page.evaluate(() => document.activeElement.textContent === 'Consents'));
    volume.write('volume.yaml', volume.read('volume.yaml').replace('is: withdrawn', 'is: given'));
    const front = 'before/LF24_0412.jpg.yaml';
    const text = volume.read(front);
    volume.write(front, text.replace(/^stage: .*$/m, 'stage: sideways'));
    await window.keys('Escape');
    await window.press(window.button('Documents'));
    await leafOf(window).getByText('No document was made: mend the record first.').waitFor();
    await leafOf(window).getByText(/^before\/LF24_0412\.jpg\.yaml, line \d+: /).waitFor();
    await window.picture('documents-errors');
    equal(await window.axe(), [], 'axe-core, errors');
    volume.write(front, text);
    await sheet(window, /^Receipt for the public/).waitFor(); // once it is mended
    equal(await inLeaf(window, 'Save as PDF').isDisabled(), false, 'to save');
  }, { prepare: withdraw });
});

test('that there is nothing to label is no matter of consent', async () => {
  const empty = (volume) => volume.write('volume.yaml', volume.read('volume.yaml').replace(/^pieces:\n(?:  .*\n|\n)+/m, '')
    .replace(/to: show publicly, is: limited/, 'to: show publicly, is: withdrawn'));
  await atDesk(async ({ window }) => {
    window.expect(/422/);
    await openLeaf(window);
    await choose(window, 'public');
    await inLeaf(window, 'To the consents').waitFor();
    await choose(window, 'labels');
    await leafOf(window).getByText(/^There are no pieces in volume.yaml/).waitFor();
    equal(await inLeaf(window, 'To the consents').isVisible(), false, 'consents');
  }, { prepare: empty });
});

test('what was not looked at is not issued', async () => {
  await atDesk(async ({ volume, window }) => {
    window.expect(/412/);
    await openLeaf(window);
    await window.press(inLeaf(window, 'Issue it …'));
    const now = leafOf(window).getByRole('button', { name: 'Issue version 1 now' });
    const release = await Promise.all(['**/pulse', '**/volume'].map((where) => window.hold(where)));
    volume.write('volume.yaml', volume.read('volume.yaml').replace('mass: 4.9', 'mass: 5.0'));
    await window.press(now);
    await leafOf(window).getByText('The record has changed since this was drawn; nothing was issued').waitFor();
    check(!volume.read('volume.yaml').includes('issued:'), 'nothing is entered');
    const src = () => sheet(window, /^Receipt/).getAttribute('src');
    const before = await src();
    for (const go of release) go();
    await until('it to be drawn anew', async () => await src() !== before);
    await window.press(inLeaf(window, 'Issue it …'));
    await window.press(now);
    await leafOf(window).getByText(/^Issued as version 1/).waitFor();
  });
});

test('what takes long shows that it is being made, and pages turned over are not waited for', async () => {
  await atDesk(async ({ window }) => {
    window.expect(/page\/\d net::ERR_ABORTED/);
    await openLeaf(window);
    let release = await window.hold('**/document/**/pdf');
    await window.press(inLeaf(window, 'Save as PDF'));
    await leafOf(window).getByText('One moment …').waitFor();
    release();
    await leafOf(window).getByText(/^Saved: PSR-1887-03-report-receipt\.pdf$/).waitFor();
    release = await window.hold('**/document/condition/**');
    await choose(window, 'condition report');
    await leafOf(window).getByText('being drawn …').waitFor();
    await choose(window, 'summary');
    release();
    await sheet(window, /^Summary/).waitFor();
  });
});

test('by the keyboard alone a document is chosen, read, saved and issued', async () => {
  await atKeyboard(async ({ volume, window, keys }) => {
    await keys.press('Tab', 'Enter', 'i'); // from the photograph
    await sheet(window, /^Receipt/).waitFor();
    await keys.at(/#leaf/);
    await keys.to(/"receipt"/);
    await keys.press('ArrowRight', 'ArrowRight'); // the proposal
    await sheet(window, /^Proposal for the studio/).waitFor();
    await keys.to(/"studio"/);
    await keys.press('ArrowRight');
    await sheet(window, /^Proposal for the owner/).waitFor();
    await keys.to(/"Save as PDF"/);
    const [download] = await Promise.all([window.page.waitForEvent('download'), keys.press('Enter')]);
    equal(download.suggestedFilename(), 'PSR-1887-03-report-proposal-owner.pdf', 'saved');
    await keys.to(/"Issue it/);
    await keys.press('Enter');
    await keys.at(/^p "Version 1 of the proposal for the owner/);
    await keys.press('Enter'); // held too long
    check(!volume.read('volume.yaml').includes('issued:'), 'nothing yet');
    await keys.to(/"Issue version 1 now"/);
    await keys.press('Enter');
    await leafOf(window).getByText(/^Issued as version 1/).waitFor();
    await keys.look('it was issued');
    await keys.to(/"Next page"/, 'Shift+Tab');
    await keys.press('Enter');
    await sheet(window, /page 2 of/).waitFor();
    await keys.press('Escape');
    await keys.at(/#large/);
  });
});

/** Nothing lies beyond the leaf's edge. */
const beyond = (leaf) => leaf.evaluate((node) => [...node.querySelectorAll('.order, .order *, .gone, .gone *, .leaf-head *')]
  .filter((one) => one.getBoundingClientRect().width > 1 && one.getBoundingClientRect().right > node.getBoundingClientRect().right + 1).map((one) => one.className || one.tagName));

for (const [name, options] of Object.entries({ 'in the dark': { colorScheme: 'dark', viewport: BENCH }, 'on a tablet': { viewport: PORTRAIT, hasTouch: true }, 'on a telephone': { viewport: PHONE, hasTouch: true } }))
  test(`${name} all of it is there and clean to axe-core`, async () => {
    await atDesk(async ({ window }) => {
      await openLeaf(window);
      const what = name.split(' ').at(-1);
      equal(await window.axe(), [], 'axe-core');
      await window.picture(`documents-${what}`);
      await drawn(window, () => choose(window, 'treatment report', 'public'), /^Treatment report for the public/);
      await leafOf(window).getByText(/photographs left out/).waitFor();
      await window.press(inLeaf(window, 'Issue it …'));
      await leafOf(window).getByRole('button', { name: 'Issue version 1 now' }).waitFor();
      await window.picture(`documents-${what}-issue`);
      equal(await window.axe(), [], 'axe-core, asked');
      equal(await beyond(leafOf(window)), [], 'beyond the edge');
      await window.press(inLeaf(window, 'Larger'));
      await sheet(window, /^Treatment/).scrollIntoViewIfNeeded();
      await window.picture(`documents-${what}-larger`);
    }, options);
  });

await run(stopBrowser);
