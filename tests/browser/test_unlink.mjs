// What becomes of links when a mark is deleted or undone, and links that a text editor has broken.

import { FRONT, FRONT_AFTER, FRONT_AFTER_NAME, FRONT_NAME, check, equal, linkFaults, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { markOf, marksOf } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

test('a mark that another is linked to is deleted only as a person says; Undo brings all of it back', async () => {
  await atDesk(async ({ volume, window }) => {
    const texts = () => [FRONT, FRONT_AFTER].map((file) => volume.sidecar(file));
    const begun = texts();
    const question = window.slip.getByRole('alertdialog');
    const names = async () => (await question.getByRole('button').allInnerTexts()).join(', ');
    await window.open(FRONT_NAME);
    await window.choose(/^3/);
    await window.large.section.focus();
    await window.keys('Delete');
    await question.waitFor();
    check(/Linked to this mark: mark 3 stain, cloth side, on front board, after treatment/.test(await question.innerText()), await question.innerText());
    equal(await names(), 'Delete both, Delete and unlink, Keep', 'the ways');
    await until('it to be heard', async () => /Not deleted yet/.test(await window.page.locator('#urgent').innerText()));
    equal(await window.axe(), [], 'axe-core');
    await window.picture('link-delete');
    await window.keys('Enter'); // Keep has the focus
    await until('the question to go', async () => !(await question.isVisible()));
    equal(texts(), begun, 'kept');
    await window.pressIn(window.slip, 'Delete mark');
    await window.keys('Shift+Tab', 'Enter');
    await until('it to be deleted and unlinked', () => !markOf(volume, FRONT, '3') && !markOf(volume, FRONT_AFTER, '3').earlier);
    equal(linkFaults(volume), [], 'check');
    await window.keys('u');
    await until('both to be back', () => markOf(volume, FRONT, '3') && markOf(volume, FRONT_AFTER, '3').earlier === `${FRONT}#3`);
    await window.choose(/^3/); // it is on the slip again
    await until('its words', async () => (await window.headWords()).includes('stain'));
    await window.choose(/^1/); // made good: that cannot stand without what it was
    await window.keys('Delete');
    equal(await names(), 'Delete both, Keep', 'the ways');
    await window.pressIn(question, 'Delete both');
    await until('both to be deleted', () => !markOf(volume, FRONT, '1') && !markOf(volume, FRONT_AFTER, '1'));
    equal(linkFaults(volume), [], 'check');
  });
});

test('a link that a text editor broke is told in words of the bench, and leads to its mark', async () => {
  await atDesk(async ({ volume, window }) => {
    const words = 'What it was before treatment is not there any more: unlink it, or link it again.';
    await window.open(FRONT_AFTER_NAME);
    check((await window.page.getByRole('navigation').innerText()).includes('after: 1 broken link'), 'the row');
    await window.face('To do');
    await window.pressIn(window.slip, 'Check the record');
    await window.slip.getByText('It finds no more than is listed here.').waitFor();
    equal(await window.slip.getByText(words).filter({ visible: true }).count(), 1, 'told once');
    check(!/LF24_0412/.test(await window.slip.innerText()), 'in no other words');
    await window.picture('link-broken-to-do');
    await window.slip.getByText(words).filter({ visible: true }).first().click();
    await window.slip.getByText(words).filter({ visible: true }).waitFor();
    await until('the mark', async () => (await window.headWords()).includes('stain'));
    await window.picture('link-broken');
    check(!/mark 99/.test(await window.slip.innerText()), 'what is not there is not named');
    equal(await window.axe(), [], 'axe-core');
    await window.pressIn(window.slip, 'Unlink');
    await until('no link', () => !markOf(volume, FRONT_AFTER, '3').earlier);
    await until('the row to be quiet', async () => !(await window.page.getByRole('navigation').innerText()).includes('broken'));
  }, { prepare: (volume) => volume.write(`${FRONT_AFTER}.yaml`, volume.sidecar(FRONT_AFTER).replace(`${FRONT}#3"`, `${FRONT}#99"`)) });
});

test('Undo takes no mark away that another is linked to', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(FRONT_NAME);
    await window.tool('Point');
    await window.touchAll([[1700, 3750]]);
    await window.saved();
    const { id } = marksOf(volume).at(-1);
    await window.open(FRONT_AFTER_NAME);
    await window.tool('Point');
    await window.touchAll([[1700, 3750]]);
    await window.pressIn(window.row('before treatment'), 'it was: touch it');
    await window.row('which mark it is').getByRole('button', { name: new RegExp(`^${id}`) }).click();
    await until('the link', () => marksOf(volume, FRONT_AFTER).at(-1).earlier === `${FRONT}#${id}`);
    await window.open(FRONT_NAME);
    await window.large.section.focus();
    await window.keys('Control+z');
    await until('it to be said', async () => /Unlink it first/.test(await window.page.locator('#urgent').innerText()));
    check(markOf(volume, FRONT, id), 'the mark is there');
    equal(linkFaults(volume), [], 'check');
  });
});

await run(stopBrowser);
