// Photographs that are new, and what is still to do: they are taken in and the record is checked by a button.

import { appendFileSync, copyFileSync, existsSync } from 'node:fs';
import { join } from 'node:path';
import { FRONT, FRONT_AFTER, FRONT_AFTER_NAME, FRONT_NAME, HEAD, check, equal, platewright, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { readSidecar } from './sidecar.mjs';
import { FILE, part, read } from './volume.mjs';
import { stopBrowser } from './window.mjs';

/** Another photograph, as a camera card brings it. */
function bring(volume, name) {
  copyFileSync(join(volume.path, HEAD), join(volume.path, name));
  appendFileSync(join(volume.path, name), name); // behind the picture: another file, another sum
}

test('a new photograph stands in the row, says that it is not taken in yet, and is taken in there', async () => {
  await atDesk(async ({ volume, window }) => {
    bring(volume, 'before/new one.jpg');
    volume.write(`${HEAD}.yaml`, 'format: platewright-photo 1\nstage: [\n');
    const print = window.page.getByRole('navigation').getByRole('button', { name: /^before\/new one\.jpg, not taken in yet/ });
    await print.click();
    const why = window.slip.getByText(/^This photograph has not been taken in yet/);
    await window.face('Photograph');
    await why.waitFor();
    check(!(await window.slip.innerText()).includes('cannot be read'), 'another fault is told');
    await window.picture('not-taken-in');
    equal(await window.axe(), [], 'axe-core');
    await window.slip.getByRole('button', { name: 'Take in new photographs' }).click();
    await window.slip.getByText('1 new photograph taken in.').waitFor();
    await until('words to fill in', async () => !(await why.isVisible()));
    check(existsSync(join(volume.path, 'before/new one.jpg.yaml')), 'a sidecar');
    const view = window.slip.getByRole('combobox', { name: 'view' });
    await view.fill('leaf');
    await view.press('Enter');
    await until('the view', () => readSidecar(volume.sidecar('before/new one.jpg')).view === 'leaf');
    await window.page.getByRole('navigation').getByRole('button', { name: /text cannot be read/ }).click();
    await window.slip.getByText(/cannot be read.*text editor/).waitFor();
    equal(await window.slip.getByRole('button', { name: 'Take in new photographs' }).count(), 0, 'intake does not help there');
  });
});

test('the list of what is owed takes new photographs in by a button, and says how many', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.face('To do');
    const button = window.slip.getByRole('button', { name: 'Take in new photographs' });
    await button.click();
    await window.slip.getByText('No new photograph.').waitFor();
    for (const name of ['before/one.jpg', 'after/two.jpg']) bring(volume, name);
    await window.slip.getByText('it has not been taken in yet').nth(1).waitFor();
    await button.click();
    await window.slip.getByText('2 new photographs taken in.').waitFor();
    equal(await window.axe(), [], 'axe-core');
    for (const stage of ['before', 'after'])
      await window.page.getByRole('navigation').getByRole('button', { name: new RegExp(`^view not told, ${stage} treatment`) }).waitFor();
    check(existsSync(join(volume.path, 'after/two.jpg.yaml')), 'a sidecar');
  });
});

test('before the volume has been read nothing on the bench can be pressed', async () => {
  await atDesk(async ({ window }) => {
    const release = await window.hold('**/volume');
    await window.reload();
    const check = window.slip.getByRole('button', { name: 'Check the record', includeHidden: true });
    await check.waitFor({ state: 'attached' });
    equal(await check.evaluate((node) => node.closest('[inert]') !== null), true, 'inert');
    release();
    await window.face('To do');
    await window.slip.getByRole('button', { name: 'Check the record' }).click();
    await window.slip.getByText('It finds no more').waitFor();
  });
});

test('what check finds beyond what is owed is listed, and each finding leads to its photograph and mark', async () => {
  const spoil = (volume) => {
    volume.write(`${FRONT}.yaml`, volume.sidecar(FRONT).replace('term: stain', 'term: no such word'));
    volume.write(`${HEAD}.yaml`, volume.sidecar(HEAD).replace('term: surface dirt', 'term: nor this'));
  };
  await atDesk(async ({ volume, window }) => {
    const told = JSON.parse(platewright('check', volume.path, '--json').out).findings;
    const beyond = told.filter(({ kind }) => kind === 'unknown term');
    equal(beyond.length, 2, 'findings that are not owed');
    await window.face('To do');
    await window.slip.getByRole('button', { name: 'Check the record' }).click();
    await window.slip.getByText(/^2 more things found/).waitFor();
    equal(await window.axe(), [], 'axe-core');
    const lines = window.slip.getByRole('list').last().getByRole('listitem');
    equal(await lines.count(), 2, 'a line each');
    for (const { file, says } of beyond) {
      await window.face('To do');
      await lines.filter({ hasText: says.replaceAll('`', '').slice(0, 24) }).getByRole('button').click();
      await until(`${file} on the bench`, async () => (await window.page.title()).startsWith(file.startsWith(FRONT) ? 'front board, before' : 'head, before'));
      const term = file.startsWith(FRONT) ? 'no such word' : 'nor this';
      await until(`the mark that is called ${term}`, async () => await window.slip.getByRole('combobox', { name: 'term' }).inputValue() === term);
    }
  }, { prepare: spoil });
});

test('a piece that is open in a volume that has gone back is counted with the rest, and a touch leads to its outcome', async () => {
  const spoil = (volume) => volume.write(FILE, read(volume).replace(', outcome: housed, on: 2026-05-19}\ndecisions', '}\ndecisions'));
  await atDesk(async ({ window }) => {
    const top = window.page.getByRole('banner');
    const n = (await window.ask('/volume')).owed.length;
    await until('the line on top to count it', async () => (await top.innerText()).includes(`${n} things still to do`));
    await window.face('To do');
    const line = window.slip.getByRole('listitem').filter({ hasText: /^piece P6/ });
    check((await line.innerText()).includes('nothing says what became of it'), await line.innerText());
    await window.slip.getByRole('button', { name: 'Check the record' }).click();
    await window.slip.getByText('no more than is listed').waitFor();
    await window.picture('owed-piece');
    equal(await window.axe(), [], 'axe-core');
    await line.getByRole('button').click();
    const piece = part(window, 'Pieces').locator('details[open]');
    await piece.getByRole('radio', { name: 'housed' }).check({ force: true });
    await until('it to be counted no more', async () => (await top.innerText()).includes(`${n - 1} things still to do`));
  }, { prepare: spoil });
});

test('of two photographs asked for one after the other the later stays, whichever comes first', async () => {
  await atDesk(async ({ window }) => {
    await window.open(FRONT_NAME);
    const { photos } = await window.ask('/volume');
    const slow = photos.find(({ file }) => file === FRONT_AFTER);
    const release = await window.hold(`**/photo/${slow.id}`);
    const print = (name) => window.page.getByRole('navigation').getByRole('button', { name: new RegExp(`^${name}`) }).first();
    const asked = window.page.waitForRequest((request) => request.url().endsWith(`/photo/${slow.id}`));
    await print(FRONT_AFTER_NAME).click();
    await asked;
    await window.open('head, before treatment');
    const came = window.page.waitForResponse((response) => response.url().endsWith(`/photo/${slow.id}`));
    release();
    await came;
    await window.read();
    check((await window.page.title()).startsWith('head, before'), await window.page.title());
  });
});

await run(stopBrowser);
