// Marks linked across photographs: what a mark was before treatment, that it is made good, and the same
// damage on another photograph of its stage.

import { FRONT, FRONT_AFTER, check, equal, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { points, readSidecar } from './sidecar.mjs';
import { middleOf } from './truth.mjs';
import { stopBrowser } from './window.mjs';

const [BEFORE, AFTER] = ['front board, before treatment', 'front board, after treatment'];

/** Opens what stands folded on a mark's slip, and gives the button or tick of that name. */
async function folded(window, role, name) {
  const more = window.slip.locator('details.more');
  if (!await more.evaluate((node) => node.open)) await more.locator('summary').click();
  return window.slip.getByRole(role, { name });
}

test('what a mark was before, and that it is made good: the other mark is touched on the photograph beside', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(AFTER);
    await window.ring('Area', [[1300, 3600], [1700, 3600], [1700, 3800], [1300, 3800]]);
    await window.saved();
    await window.sized(); // what is said of it has been said
    const marks = () => readSidecar(volume.sidecar(FRONT_AFTER)).marks;
    const { id } = marks().at(-1);
    const mine = () => marks().find((mark) => mark.id === id);
    check(await (await folded(window, 'checkbox', /^made good/)).isDisabled(), 'made good of what?');
    const label = readSidecar(volume.sidecar(FRONT)).marks.find((mark) => mark.id === '6');
    const [aim] = await window.small.aim([middleOf([points(label.outline)])]);
    await (await folded(window, 'button', 'the same damage, on another photograph')).click();
    await window.click(aim.screen); // of another stage
    await window.large.section.getByText('It is not on this photograph').waitFor();
    equal(mine()['same-as'], undefined, 'no link across stages');
    await window.button('Leave it').click();
    await (await folded(window, 'button', 'what it was before treatment')).click();
    await window.picture('link-picking');
    equal(await window.axe(), [], 'axe-core, a mark being picked');
    await window.click(aim.screen);
    await until('a link', () => mine().earlier === `${FRONT}#6`);
    await window.slip.getByText('6 loss, label, on front board, before treatment').waitFor();
    await (await folded(window, 'checkbox', /^made good/)).check();
    await until('made good', () => mine().gone === 'yes');
    check((await window.headWords()).includes('made good'), await window.headWords());
    equal(await window.axe(), [], 'axe-core, linked and made good');
    for (let i = 0; i < 2; i += 1) await window.button('Undo').click();
    await until('no link', () => mine().earlier === undefined && mine().gone === undefined);
  });
});

test('the same damage on another photograph is chosen there by name', async () => {
  await atDesk(async ({ volume, window }) => {
    const detail = 'before/LF12_0038.jpg';
    const mine = () => readSidecar(volume.sidecar(detail)).marks[0];
    await window.open('detail, front board, tail corner, before');
    await window.choose(/worn corner/);
    const linked = mine()['same-as'];
    await (await folded(window, 'button', 'take away')).click();
    await until('no link', () => mine()['same-as'] === undefined);
    await (await folded(window, 'button', 'the same damage, on another photograph')).click();
    await window.slip.getByRole('combobox', { name: 'beside it' }).selectOption({ label: BEFORE });
    await window.slip.getByRole('group', { name: 'which mark it is' }).getByRole('button', { name: /worn corner/ }).click();
    await until('a link', () => mine()['same-as'] === linked);
  });
});

await run(stopBrowser);
