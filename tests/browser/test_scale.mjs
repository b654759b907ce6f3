// A scale set by hand on a card: its corners improve to the edge under them, which may be refused; what is
// chosen is saved, and sizes are at once those that `measure` prints. Where the corners truly are is told
// by the demo's generator. What is no length is refused; and it all goes by keys alone.

import { check, equal, near, run, test, until } from './bench.mjs';
import { CARD, DOTTED, EDGE_PX, FULL, SPAN, agree, atScale, drawn, ends, field, figures, fillIn, scaleOf, shift } from './scaling.mjs';
import { points } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

test('four corners come to the edges under them, both are shown, and what is kept is saved; undone after a reload', async () => {
  await atScale(CARD, async (all) => {
    const { volume, window, photo, truth, begun } = all;
    const corners = points(truth.corners);
    equal(await window.axe(), [], 'axe-core, a scale to be set');
    const set = await window.touchAll(shift(corners, 9, -7));
    await window.button('Edge found').waitFor();
    near(await drawn(window, DOTTED), set, 'the hand\'s corners, dotted', 0.1);
    near(await drawn(window, FULL), corners, 'the edge\'s corners', EDGE_PX + 0.1);
    equal(await window.axe(), [], 'axe-core, improved corners');
    await fillIn(window, { width: '100', height: '60' });
    const shown = await figures(window);
    await window.picture('scale-corners');
    equal(await window.axe(), [], 'axe-core, a scale shown');
    await window.button('Set this scale').click();
    await until('the scale', () => scaleOf(volume, photo).rectangle);
    const { corners: saved, ...sizes } = scaleOf(volume, photo).rectangle;
    near(points(saved), corners, 'saved', EDGE_PX);
    equal(sizes, { width: '100', height: '60' }, 'sizes');
    await window.large.section.getByText(shown).waitFor(); // the caption says what the draft said
    await agree(all);
    await window.reload();
    await window.open(photo.name);
    for (let i = 0; i < 2; i += 1) await window.button('Undo').click();
    await until('the sidecar as it was', () => volume.sidecar(photo.file) === begun);
  });
});

test('the edge that was found is refused: the hand\'s own corners are saved', async () => {
  await atScale(CARD, async ({ volume, window, photo, truth }) => {
    const set = await window.touchAll(shift(points(truth.corners), 9, -7));
    await window.button('As I set it').click();
    near(await drawn(window, FULL), set, 'the hand\'s corners, in full', 0.1);
    near(await drawn(window, DOTTED), points(truth.corners), 'the edge\'s, dotted', EDGE_PX + 0.1);
    await fillIn(window, { width: '100', height: '60' });
    await window.button('Set this scale').click();
    await until('the scale', () => scaleOf(volume, photo).rectangle);
    near(points(scaleOf(volume, photo).rectangle.corners), set, 'saved');
  });
});

test('a length that is none is refused in words, and nothing is saved', async () => {
  await atScale(SPAN, async ({ volume, window, photo, truth, begun }) => {
    window.expect(/422/); // no edge is found from here
    await window.slip.getByRole('radio', { name: 'a length' }).check();
    await window.touchAll(ends(truth));
    await fillIn(window, { length: '140' });
    const shown = await figures(window);
    for (const [wrong, words] of [['0', 'it must be more than 0'], ['-3', 'it must be more than 0'],
      ['ten', 'is no number'], ['140 mm', 'is no number'], ['', null]]) {
      await fillIn(window, { length: wrong });
      if (words) await window.slip.getByText(`"${wrong}" for "length"`).filter({ hasText: words }).waitFor();
      else await until('no words', async () => !(await window.slip.innerText()).includes('for "length"'));
      check(!(await window.slip.innerText()).includes(shown), `${wrong}: the scale before it is still shown`);
      check(await window.button('Set this scale').isDisabled(), `${wrong}: it can be set`);
      await field(window, 'length').press('Enter');
      if (wrong === 'ten') await window.picture('scale-refused');
      if (wrong === 'ten') equal(await window.axe(), [], 'axe-core, refused');
    }
    equal(volume.sidecar(photo.file), begun, 'nothing was saved');
  });
});

test('corners are taken back one by one; a scale is set by keys alone, and undone with the tool in hand', async () => {
  await atScale(SPAN, async ({ volume, window, photo, begun }) => {
    window.expect(/422/, /\/corners net::ERR_ABORTED/); // no edge is there; and what is taken back is sought no more
    await window.touchAll([[500, 500], [900, 500], [900, 900], [500, 900]]);
    for (const left of ['1 corner', '2 corners', '3 corners', '4 corners']) {
      await window.button('Undo').click();
      await window.large.section.getByText(`${left} to set`).waitFor();
    }
    check(await window.button('Undo').isDisabled(), 'nothing more to take back');
    await window.slip.getByRole('radio', { name: 'a length' }).press('Space');
    await window.large.section.getByRole('application').focus();
    const { scale } = await window.large.lay();
    await window.keys('Enter', 'Enter', ...Array(6).fill('Shift+ArrowRight'), 'Enter', 'g');
    await window.page.keyboard.type('40');
    await window.keys('Enter');
    const { span } = await until('the scale', () => (scaleOf(volume, photo).span ? scaleOf(volume, photo) : null));
    const [from, to] = ends(span);
    near([[to[0] - from[0], to[1] - from[1]]], [[120 / scale.x, 0]], 'six long steps', 1);
    equal(span.length, '40');
    await window.keys('s');
    await window.button('Undo').click();
    await until('the sidecar as it was', () => volume.sidecar(photo.file) === begun);
    await window.large.section.getByText('4 corners to set').waitFor();
  });
});

await run(stopBrowser);
