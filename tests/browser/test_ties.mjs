// Before and after side by side: they move together, and ties are set on both and saved with the after
// photograph. Which places belong together is told by the demo's generator.

import { FRONT, FRONT_AFTER, check, equal, near, note, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { points, readSidecar } from './sidecar.mjs';
import { drawnAt, seenAt, truthOf } from './truth.mjs';
import { stopBrowser } from './window.mjs';

const BEFORE = 'front board, before treatment';
const BOARD = [[25, 25], [255, 30], [250, 380], [30, 385]]; // mm of the drawn board: near its corners

const NEAR = 0.5; // how large ties are set
const ASTRAY = 4; // px: two pixels of the screen at that, a tie being set to half a one on either photograph

const ends = (place) => ({ here: seenAt(truthOf(FRONT_AFTER), place), there: seenAt(truthOf(FRONT), place) });
const tiesOf = (volume) => readSidecar(volume.sidecar(FRONT_AFTER)).ties ?? [];
const sideOf = (volume, side) => tiesOf(volume).map((tie) => points(tie[side])[0]);
/** All that the after photograph's text says, in whichever order. */
const recordOf = (volume) => JSON.stringify(Object.entries(readSidecar(volume.sidecar(FRONT_AFTER))).sort());
const says = (window, words) => window.large.section.getByText(words).waitFor();

/** Touches a place on the photograph before, then on the one after beside it; the places touched. */
async function tie(window, { here, there }) {
  const [before] = await window.large.aim([there]);
  await window.click(before.screen);
  const [after] = await window.small.aim([here]);
  await window.click(after.screen);
  return { here: after.photo, there: before.photo };
}

/** What of the photograph lies in the middle of its sheet. */
async function middleOf(sheet) {
  const { scale, left, top } = await sheet.lay({ sharp: false });
  const box = await sheet.section.getByRole('application').boundingBox();
  return [(box.x + box.width / 2 - left) / scale.x, (box.y + box.height / 2 - top) / scale.y];
}

/** How far the photograph beside is from showing what the large one does, in pixels of it. */
async function astray(window) {
  const place = drawnAt(truthOf(FRONT), await middleOf(window.large));
  const [wanted, got] = [seenAt(truthOf(FRONT_AFTER), place), await middleOf(window.small)];
  return Math.hypot(got[0] - wanted[0], got[1] - wanted[1]);
}

test('four ties are set on both photographs, saved with the after one, and then both move together', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.open(BEFORE);
    const begun = volume.sidecar(FRONT);
    await window.tool('Ties');
    equal(await window.axe(), [], 'axe-core, no tie yet');
    await window.zoom([1200, 3500], NEAR);
    const loose = await astray(window);
    check(loose > 2 * ASTRAY, 'without ties it goes along in proportion alone');
    await window.button('Whole').click();
    const set = [];
    for (const place of BOARD) {
      equal(tiesOf(volume), [], 'fewer than four are not in the record');
      await window.zoom(ends(place).there, NEAR);
      set.push(await tie(window, ends(place)));
      await window.button('Whole').click();
      await says(window, set.length < 4 ? `tie set; ${4 - set.length} more before they are saved` : 'tie set, 4 in all');
    }
    await window.saved();
    await until('ties', () => tiesOf(volume).length === 4);
    for (const side of ['here', 'there']) near(sideOf(volume, side), set.map((one) => one[side]), side);
    equal(volume.sidecar(FRONT), begun, 'nothing is written with the photograph before');
    await window.picture('ties');
    equal(await window.axe(), [], 'axe-core, ties set');
    for (const place of [[1200, 3500], [2600, 4700]]) {
      await window.button('Whole').click();
      await window.zoom(place, NEAR);
      const tied = await astray(window);
      note(`beside it ${tied.toFixed(1)} px astray; without ties ${loose.toFixed(0)} px`);
      check(tied < ASTRAY, `the photograph beside is ${tied} px astray`);
    }
    await window.picture('ties-near');
  });
});

const hundredths = (place) => place.map((v) => Math.round(100 * v) / 100);

/** Four ties written into the after photograph's text, as DESIGN section 3 has them. */
function prepare(volume) {
  const text = ({ here, there }) => `{here: "${hundredths(here)}", there: "${hundredths(there)}"}`;
  const list = BOARD.map((place) => text(ends(place))).join(', ');
  volume.write(`${FRONT_AFTER}.yaml`, volume.sidecar(FRONT_AFTER).replace(/^marks:$/m, `ties: [${list}]\nmarks:`));
}

test('ties of the record are moved and deleted, and each undone, also after a reload', async () => {
  await atDesk(async ({ volume, window }) => {
    window.expect(/request failed: .*net::ERR_ABORTED/); // what a reload cuts off
    const begun = recordOf(volume);
    await window.open(BEFORE);
    await window.tool('Ties');
    const [from, to] = await window.large.aim([ends(BOARD[1]).there, ends([245, 60]).there]);
    await window.drag(from.screen, to.screen);
    await window.saved();
    await until('another place', () => recordOf(volume) !== begun);
    near(sideOf(volume, 'there'), BOARD.map((place, i) => (i === 1 ? to.photo : ends(place).there)), 'one moved');
    near(sideOf(volume, 'here'), BOARD.map((place) => ends(place).here), 'its other end stays');
    await window.reload();
    await window.open(BEFORE);
    await window.tool('Ties');
    await window.button('Undo').click();
    await until('as it was', () => recordOf(volume) === begun);
    const [third] = await window.small.aim([ends(BOARD[2]).here]);
    await window.click(third.screen);
    await window.button('Delete tie 3').click();
    await says(window, 'tie deleted; 1 more before they are saved');
    await until('no ties in the record', () => tiesOf(volume).length === 0);
    await window.keys('u');
    await says(window, 'taken back, 4 in all');
    await until('as it was', () => recordOf(volume) === begun);
    const fifth = await tie(window, ends([140, 200]));
    await until('five', () => tiesOf(volume).length === 5);
    near([sideOf(volume, 'here')[4], sideOf(volume, 'there')[4]], [fifth.here, fifth.there], 'the fifth');
    await window.keys('Delete');
    await until('four again', () => tiesOf(volume).length === 4);
    await window.keys('u', 'u');
    await until('as it was', () => recordOf(volume) === begun);
  }, { prepare });
});

await run(stopBrowser);
