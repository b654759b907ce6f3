// A tablet at the bench, upright and across: marks are drawn by finger, two fingers move the
// photograph and draw nothing, and what lies under a finger is seen beside it.

import { FRONT, FRONT_NAME, check, equal, near, note, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { marksOf, points } from './sidecar.mjs';
import { stopBrowser } from './window.mjs';

const ACROSS = { width: 1024, height: 768 };
const UPRIGHT = { width: 768, height: 1024 };
const CLOTH = [1900, 3700];
const PATCH = [[1500, 3400], [1980, 3450], [2250, 3800], [1900, 4100], [1500, 3950]]; // of the photograph
const BENT = [[1380, 3080], [1500, 2900], [1800, 3000]];

async function atTablet(viewport, body) {
  await atDesk(async (all) => {
    await all.window.open(FRONT_NAME);
    await body(all);
  }, { viewport, hasTouch: true, isMobile: true });
}

for (const [name, viewport] of Object.entries({ across: ACROSS, upright: UPRIGHT }))
  test(`a finger draws an area, a line and a point, and moves a vertex; the tablet lies ${name}`, async () => {
    await atTablet(viewport, async ({ volume, window }) => {
      const n = marksOf(volume).length;
      await window.picture(`touch-${name}`);
      equal(await window.axe(), [], 'axe-core');
      const outline = await window.ring('Area', PATCH);
      await window.name('abr', 'abrasion');
      const line = await window.polyline(BENT);
      await window.tool('Point');
      const point = await window.touchAll([[2900, 4400]]);
      await window.saved();
      await until('all of it', () => marksOf(volume).length === n + 3);
      const drawn = marksOf(volume).slice(n);
      near(points(drawn[0].outline), outline, 'area');
      equal(drawn[0].term, 'abrasion', 'its term');
      near(points(drawn[1].line), line, 'line');
      near(points(drawn[2].point), point, 'point');
      await window.choose(new RegExp(`^${drawn[0].id}\\b.*abrasion`));
      await window.tool('Look');
      const moved = await window.carry(outline[1], [2120, 3560]);
      await window.saved();
      await until('it moved', () => marksOf(volume)[n].outline !== drawn[0].outline);
      near(points(marksOf(volume)[n].outline), outline.map((p, i) => (i === 1 ? moved : p)), 'a vertex moved');
      await window.picture(`touch-${name}-moved`);
    });
  });

const apart = ([ax, ay], [bx, by]) => Math.hypot(ax - bx, ay - by);
const fingersRound = ([x, y], half) => [[x - half, y], [x + half, y]];

/** Where a place of the photograph lies on the screen. */
async function screenOf(window, [x, y]) {
  const { scale, left, top } = await window.large.lay();
  return [left + x * scale.x, top + y * scale.y];
}

test('two fingers bring nearer what lies between them, move the photograph, and draw nothing', async () => {
  await atTablet(ACROSS, async ({ volume, window }) => {
    const text = volume.sidecar(FRONT);
    const { scale } = await window.large.lay();
    const middle = await screenOf(window, CLOTH);
    await window.pinch(fingersRound(middle, 40), fingersRound(middle, 160));
    const near4 = (await window.large.lay()).scale;
    check(Math.abs(near4.x / scale.x - 4) < 0.05, `${near4.x / scale.x} times larger where fingers went four times as far apart`);
    check(apart(await screenOf(window, CLOTH), middle) < 1.5, 'what lay between the fingers lies there still');

    await window.tool('Area');
    const placed = await window.touchAll([[1700, 3500], [2100, 3500]]);
    const before = await screenOf(window, CLOTH);
    await window.pinch(fingersRound(middle, 60), fingersRound([middle[0] + 90, middle[1] - 70], 60));
    const went = (await screenOf(window, CLOTH)).map((v, axis) => v - before[axis]);
    check(apart(went, [90, -70]) < 1.5, `two fingers went 90, -70 and the photograph ${went}`);
    check(Math.abs((await window.large.lay()).scale.x / near4.x - 1) < 0.01, 'no nearer and no further');
    await window.picture('touch-pinched');
    placed.push(...await window.touchAll([[1900, 3900]]));
    await window.touchAll([placed[0]]);
    await window.saved();
    const drawn = await until('the area', () => volume.sidecar(FRONT) !== text && marksOf(volume).at(-1));
    near(points(drawn.outline), placed, 'no finger of the two has drawn');
  });
});

const LARGER = 3; // is what the magnifier shows than on the photograph
const ASIDE = 15; // pixels of the photograph's screen

/** Runs in the page: colours of the magnifier, in its middle and to the left of it, and those under a place of the window. */
function colours({ at: [x, y], aside, larger }) {
  const colourOf = (image, at) => {
    const pen = Object.assign(document.createElement('canvas'), { width: 1, height: 1 }).getContext('2d');
    pen.drawImage(image, ...at, 1, 1, 0, 0, 1, 1);
    return [...pen.getImageData(0, 0, 1, 1).data].slice(0, 3);
  };
  const lens = document.querySelector('#large .lens');
  const tileAt = (x) => [...document.querySelectorAll('#large img[src*="/tile/"]')].find((img) => {
    const box = img.getBoundingClientRect();
    return x >= box.left && x < box.right && y >= box.top && y < box.bottom;
  });
  const there = (x) => {
    const tile = tileAt(x);
    const box = tile.getBoundingClientRect();
    return colourOf(tile, [((x - box.left) / box.width) * tile.naturalWidth, ((y - box.top) / box.height) * tile.naturalHeight]);
  };
  const shown = (by) => colourOf(lens, [lens.width / 2 - by * larger * devicePixelRatio, lens.height / 2]);
  const { left, top, right, bottom } = lens.getBoundingClientRect();
  return { hidden: lens.hidden, box: [left, top, right, bottom], shown: [shown(0), shown(aside)].flat(), there: [there(x), there(x - aside)].flat() };
}

test('while a finger draws, what lies under it is seen beside it', async () => {
  await atTablet(UPRIGHT, async ({ window }) => {
    await window.pinch(fingersRound(await screenOf(window, [2050, 1100]), 30), fingersRound(await screenOf(window, [2050, 1100]), 120));
    await window.tool('Point');
    for (const place of [[1385, 800], [2775, 800]]) { // at the edges of the white card
      const [{ screen }] = await window.large.aim([place]);
      await window.touch('touchStart', [screen]);
      await window.touch('touchMove', [screen]);
      const seen = await until('the magnifier', async () => {
        const now = await window.page.evaluate(colours, { at: screen, aside: ASIDE, larger: LARGER });
        return !now.hidden && Math.max(...now.shown.map((v, i) => Math.abs(v - now.there[i]))) < 30 && now;
      });
      note(`under the finger ${seen.there}, in the magnifier ${seen.shown}`);
      const [left, top, right, bottom] = seen.box;
      const away = Math.hypot(Math.max(left - screen[0], 0, screen[0] - right), Math.max(top - screen[1], 0, screen[1] - bottom));
      check(away >= 22, `the magnifier is ${away} px from the finger`);
      equal(await window.axe(), [], 'axe-core, the magnifier');
      await window.picture(`touch-lens-${place[0]}`);
      await window.touch('touchEnd', []);
      check(await window.page.locator('#large .lens').isHidden(), 'lifted, the finger needs no magnifier');
      await window.tool('Point');
    }
  });
});

test('without Snap a finger sets a point beside one that is there', async () => {
  await atTablet(ACROSS, async ({ volume, window }) => {
    const [vertex] = points(marksOf(volume)[2].outline);
    const beside = async () => {
      await window.tool('Point');
      const { scale } = await window.large.lay();
      const [at] = await window.touchAll([[vertex[0] + 6 / scale.x, vertex[1]]]);
      await window.saved();
      return { at, point: points(marksOf(volume).at(-1).point)[0] };
    };
    const shared = await beside();
    equal(shared.point, vertex, 'with Snap it is the same');
    await window.press(window.button('Snap'));
    const alone = await beside();
    near([alone.point], [alone.at], 'without');
  });
});

await run(stopBrowser);
