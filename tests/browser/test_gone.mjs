// Nothing is lost when the server is gone: strokes wait in the browser and are saved when it is back,
// in the window that drew them or, where that was closed, in the next.

import { FRONT, equal, near, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { points, readSidecar } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

const NAME = 'front board, before treatment';
const marksOf = (volume) => readSidecar(volume.sidecar(FRONT)).marks ?? [];
const NO_SERVER = [/ERR_CONNECTION_REFUSED/, /ERR_CONNECTION_RESET/, /ERR_EMPTY_RESPONSE/, /ERR_SOCKET/, /403/];

test('the server is killed: the page says so, goes on drawing, and saves when it is back', async () => {
  await atDesk(async ({ volume, desk, window, another }) => {
    window.expect(...NO_SERVER);
    await window.open(NAME);
    await window.tool('Point');
    const aims = await window.large.aim([[1400, 3700], [1700, 3900]]);
    await desk.kill();
    const begun = volume.sidecar(FRONT);
    const alarm = window.page.getByRole('alert').filter({ hasText: 'Not saved.' });
    await window.click(aims[0].screen);
    await alarm.waitFor();
    await window.click(aims[1].screen); // the alarm has not moved the photograph from under the pen
    await until('two strokes to wait', async () => /2 changes wait/.test(await alarm.innerText()));
    equal(volume.sidecar(FRONT), begun, 'nothing was written');
    await window.picture('server-gone');
    equal(await window.axe(), [], 'axe-core');
    await desk.start();
    await another({ session: window }); // the new address, opened in the same browser
    await window.saved();
    await until('the alarm to be over', async () => !(await alarm.isVisible()));
    near(marksOf(volume).slice(-2).map(({ point }) => points(point)[0]), aims.map(({ photo }) => photo), 'the strokes');
  });
});

test('the page is closed while the server is gone: the browser keeps the strokes, and the next window saves them', async () => {
  await atDesk(async ({ volume, desk, window, another }) => {
    window.expect(...NO_SERVER);
    await window.open(NAME);
    await window.tool('Point');
    const had = marksOf(volume).length;
    await desk.kill();
    await window.page.getByRole('alert').filter({ hasText: 'Out of reach.' }).waitFor();
    const [aim] = await window.large.aim([[1400, 3700]]);
    await window.click(aim.screen);
    await window.page.getByRole('alert').filter({ hasText: 'Not saved.' }).waitFor();
    await until('the browser to keep it', async () => (await window.kept()).some((name) => name.startsWith('waiting/')));
    await window.page.close();
    await desk.start();
    await another({ session: window });
    await until('the stroke', () => marksOf(volume).length === had + 1);
    near(points(marksOf(volume).at(-1).point), [aim.photo], 'the stroke');
  });
});

test('a page that is loaded while the server does not answer says so, and goes on when it is there', async () => {
  await atDesk(async ({ window }) => {
    const alarm = window.page.getByRole('alert').filter({ hasText: 'Out of reach.' });
    for (const where of ['**/volume', '**/photo/*']) {
      window.expect(/net::ERR_FAILED/, /request failed: .*net::ERR_ABORTED/);
      await window.page.route(where, (route) => route.abort());
      await window.reload();
      await alarm.waitFor();
      await window.picture(`server-not-there-${where.split('/')[1]}`);
      await window.page.unroute(where);
      await until('the photograph', async () => (await window.page.title()).startsWith(NAME));
      await until('the alarm to be over', async () => !(await alarm.isVisible()));
    }
  });
});

await run(stopBrowser);
