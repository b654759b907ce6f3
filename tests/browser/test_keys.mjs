// The keyboard alone: from the page's first sight to marks that are drawn, named, mended, linked and
// deleted. After every key the focus is somewhere and is seen; what is chosen and saved is said.

import { FRONT, FRONT_AFTER, check, equal, near, run, test, until } from './bench.mjs';
import { atKeyboard } from './keyboard.mjs';
import { marksOf, points } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

test('the photograph is reached, and an area with a hole, a line and a point are drawn and named', async () => {
  await atKeyboard(async ({ volume, window, keys }) => {
    const n = marksOf(volume).length;
    await keys.press('Tab', 'Enter'); // the first stop of the page
    await keys.at(/#large/);
    await keys.press('a');
    await keys.heard(/^Area in hand$/);
    await keys.press('1', 'ArrowRight'); // full size; the first arrow brings up the cross hairs
    keys.seen.clear(); // the photograph fills its mount now
    await keys.at(/#large/);
    const outline = await keys.path([-80, -60], [170, 0], [5, 130], [-190, 0]);
    await window.picture('keys-drawing');
    equal(await window.axe(), [], 'axe-core, drawing by keys');
    await keys.press('c');
    await keys.heard(/^area closed, 4 points, \d+ \u00b1 \d+ mm\u00b2$/);
    await keys.heard(/^saved: area drawn$/);
    await keys.press('o');
    const hole = await keys.path([60, -90], [60, 0], [-30, 50]);
    await keys.press('c');
    await keys.press('l');
    const line = await keys.path([-200, 80], [60, 20], [100, -10]);
    await keys.press('Enter'); // twice in one place
    await keys.heard(/^saved: line drawn$/);
    await keys.press('p');
    const point = await keys.path([200, 10]);
    await keys.heard(/^saved: point drawn$/);
    await keys.press('N', 'N');
    await keys.press('w');
    await keys.type('abr');
    await window.picture('keys-term');
    await keys.press('Enter', 'Tab');
    await keys.type('cloth side');
    await keys.press('Enter');
    await keys.to(/slight/);
    await keys.press(' ', 'ArrowRight');
    await keys.to(/note/);
    await keys.type('rubbed, by the keyboard');
    await keys.press('Shift+F6'); // out of the field
    await keys.at(/#large/);
    await keys.heard(/^saved: note$/);
    await keys.press('n', 'w');
    await keys.type('scratch');
    await keys.press('Enter');
    await keys.press('Shift+F6');
    await keys.at(/#large/);
    await window.saved();
    await until('the line is named', () => marksOf(volume)[n + 1]?.term === 'scratch');
    const [area, drawn, spot] = marksOf(volume).slice(n);
    near(points(area.outline), outline, 'area');
    near(points(area.holes[0]), hole, 'hole');
    near(points(drawn.line), line, 'line');
    near(points(spot.point), point, 'point');
    equal([area.term, area.part, area.severity, area.note], ['abrasion', 'cloth side', '2', 'rubbed, by the keyboard'], 'its words');
  });
});

test('a vertex is moved and deleted, a mark copied, moved and deleted; undo and redo', async () => {
  await atKeyboard(async ({ volume, window, keys }) => {
    const begun = marksOf(volume);
    await keys.press('F6', 'F6');
    await keys.at(/#large/);
    await keys.press('n', 'n', 'n');
    await keys.heard(/^mark 3, stain, cloth side, 4710/);
    await keys.press('k', 'k');
    await keys.heard(/^point 2 of \d+$/);
    await keys.press('Enter', 'Shift+ArrowLeft', 'ArrowDown');
    await window.picture('keys-vertex');
    const there = await keys.cross();
    await keys.press('Enter');
    await keys.heard(/^saved: point moved$/);
    await window.saved();
    const outline = points(begun[2].outline);
    near(points(marksOf(volume)[2].outline), outline.map((p, i) => (i === 1 ? there : p)), 'a vertex moved');
    await keys.press('k', 'Delete');
    await keys.heard(/^saved: point deleted$/);
    await window.saved();
    equal(points(marksOf(volume)[2].outline).length, outline.length - 1, 'points');
    await keys.press('u', 'u');
    await window.saved();
    await until('as many points as before', () => points(marksOf(volume)[2].outline).length === outline.length);
    near(points(marksOf(volume)[2].outline), outline, 'undone');
    await keys.press('r');
    await keys.heard(/^redo: point moved$/);
    await window.saved();
    near([points(marksOf(volume)[2].outline)[1]], [there], 'done again');

    await keys.press('Escape', 'c');
    await keys.heard(/^copied; m moves it$/);
    await window.saved();
    const copy = await until('a copy', () => marksOf(volume)[begun.length]);
    await keys.press('m');
    await keys.press('ArrowRight');
    await keys.press('Enter');
    const from = await keys.cross();
    await keys.steer(40, -25);
    const to = await keys.cross();
    await keys.press('Enter');
    await keys.heard(/^saved: moved$/);
    await window.saved();
    const by = [0, 1].map((axis) => to[axis] - from[axis]);
    near(points(marksOf(volume)[begun.length].outline), points(copy.outline).map(([x, y]) => [x + by[0], y + by[1]]), 'moved');
    await keys.press('Delete');
    await keys.heard(/^Mark deleted; undo brings it back\.$/);
    await window.saved();
    await until('no copy', () => marksOf(volume).length === begun.length);
  });
});

test('a mark is linked to what it was before treatment, and to the same damage elsewhere', async () => {
  await atKeyboard(async ({ volume, window, keys }) => {
    const n = marksOf(volume, FRONT_AFTER).length;
    await keys.press('Tab', 'Enter', '?');
    await keys.at(/leaf/);
    await window.picture('keys-help');
    await keys.press('Escape');
    await keys.at(/#large/);
    await keys.press('PageDown');
    await keys.heard(/^front board, after treatment$/);
    await keys.press('p', 'ArrowRight', 'Enter', 'w');
    await keys.to(/it was: touch it/);
    await keys.press('Enter');
    await keys.at(/beside it/);
    await window.picture('keys-link');
    equal(await window.axe(), [], 'axe-core, picking the other mark');
    await keys.to(/^button "9bore hole, spine leather"/);
    await keys.press('Enter');
    await keys.heard(/^saved: linked$/);
    equal(marksOf(volume, FRONT_AFTER)[n].earlier, `${FRONT}#9`, 'what it was');
    await keys.at(/Unlink/);

    await keys.to(/^summary/);
    await keys.press('Enter');
    await keys.to(/the same damage is on another photograph after treatment/);
    await keys.press('Enter');
    await keys.press('ArrowDown');
    await window.slip.getByRole('group', { name: 'which mark it is' }).getByRole('listitem').first().waitFor();
    await keys.to(/^button "\d+bore hole/);
    await keys.press('Enter');
    await until('the link', () => marksOf(volume, FRONT_AFTER)[n]['same-as']);
    check(/^after\/\w+\.jpg#\d+$/.test(marksOf(volume, FRONT_AFTER)[n]['same-as']), 'a mark of the same stage');
    await keys.press('PageUp');
    await keys.heard(/^front board, before treatment$/);
    await window.saved();
  });
});

await run(stopBrowser);
