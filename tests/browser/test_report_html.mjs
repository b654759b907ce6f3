// A document as HTML, opened from the disk: two stages compared by mouse, touch and keys, the words of a
// mark by touch and by keyboard, nothing asked of anybody, on a telephone, in the dark, on paper.

import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { mkdirSync } from 'node:fs';
import { PICTURES, check, equal, note, run, test, until } from './bench.mjs';
import { Leaf, Shelf } from './leaf.mjs';
import { stopBrowser } from './window.mjs';

const PHONE = { viewport: { width: 390, height: 780 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 };
const FOOT = 'PSR-1887-03 \u00b7 Treatment report';
const A4 = [595, 842]; // points: ISO 216, from memory

const shelf = new Shelf();

/** A document in a window for one test; at its end it must have been quiet. */
async function atLeaf(body, { whom = 'owner', language = 'en', ...options } = {}) {
  const leaf = await Leaf.open(shelf.path(whom, language), options);
  await body(leaf);
  await leaf.close();
}

const sliderOf = (leaf, n) => leaf.plate(n).getByRole('slider');
const valueOf = async (leaf, n) => Number(await sliderOf(leaf, n).inputValue());
const frameOf = (leaf, n) => leaf.plate(n).locator('.picture-frame').first();

/** A place of a pair's picture, in shares of it. */
async function placeOn(leaf, n, across, down) {
  const { x, y, width, height } = await frameOf(leaf, n).boundingBox();
  return [Math.round(x + across * width), Math.round(y + down * height)];
}

/** Which stage is seen at a place: the first or the second. */
function stageAt(leaf, n, [x, y]) {
  return leaf.page.evaluate(([px, py, id]) => {
    const pictures = [...document.querySelectorAll(`#plate-${id} .picture`)];
    return 1 + pictures.findIndex((picture) => picture.contains(document.elementFromPoint(px, py)));
  }, [x, y, n]);
}

async function toPlate(leaf, n) {
  await leaf.plate(n).evaluate((node) => node.scrollIntoView());
  await until('pictures', () => leaf.plate(n).evaluate((node) => [...node.querySelectorAll('img')].every((img) => img.complete)));
}

const markOf = (leaf, n, name) => leaf.plate(n).locator('.marks').getByRole('link', { name }).first();

test('a pair is compared by mouse: the line follows, each side shows its stage', async () => {
  await atLeaf(async (leaf) => {
    await toPlate(leaf, 1);
    equal(await valueOf(leaf, 1), 50, 'in the middle at first');
    const [from, to] = [await placeOn(leaf, 1, 0.5, 0.9), await placeOn(leaf, 1, 0.25, 0.9)];
    await leaf.drag(from, to);
    check(Math.abs(await valueOf(leaf, 1) - 25) <= 1, `at ${await valueOf(leaf, 1)} %`);
    equal(await stageAt(leaf, 1, await placeOn(leaf, 1, 0.2, 0.95)), 1, 'left of the line');
    equal(await stageAt(leaf, 1, await placeOn(leaf, 1, 0.3, 0.95)), 2, 'right of the line');
    await leaf.click(await placeOn(leaf, 1, 0.8, 0.95));
    check(Math.abs(await valueOf(leaf, 1) - 80) <= 1, 'a click brings the line there');
    await leaf.picture('report-html-compare');
  });
});

test('and by touch, while a stroke up or down turns the page', async () => {
  await atLeaf(async (leaf) => {
    await toPlate(leaf, 1);
    await leaf.drag(await placeOn(leaf, 1, 0.5, 0.9), await placeOn(leaf, 1, 0.75, 0.9));
    await until('the line at 75 %', async () => Math.abs(await valueOf(leaf, 1) - 75) <= 2);
    const before = await leaf.page.evaluate(() => scrollY);
    await leaf.drag(await placeOn(leaf, 1, 0.5, 0.8), await placeOn(leaf, 1, 0.5, 0.2));
    await until('the page to move', async () => (await leaf.page.evaluate(() => scrollY)) > before + 20);
    check(Math.abs(await valueOf(leaf, 1) - 75) <= 2, 'the line stays');
  }, PHONE);
});

test('and by keys', async () => {
  await atLeaf(async (leaf) => {
    await toPlate(leaf, 1);
    await sliderOf(leaf, 1).focus();
    await leaf.keys('ArrowLeft', 'ArrowLeft', 'ArrowLeft');
    equal(await valueOf(leaf, 1), 47);
    await leaf.keys('Home');
    equal(await stageAt(leaf, 1, await placeOn(leaf, 1, 0.1, 0.5)), 2, 'all of the second');
    await leaf.keys('End');
    equal(await stageAt(leaf, 1, await placeOn(leaf, 1, 0.9, 0.5)), 1, 'all of the first');
    const name = await sliderOf(leaf, 1).evaluate((node) => node.labels[0].textContent);
    check(/Before treatment/.test(name) && /After treatment/.test(name), `both stages are named: ${name}`);
  });
});

test('a touch on a mark shows its words, another puts them away', async () => {
  await atLeaf(async (leaf) => {
    await toPlate(leaf, 1);
    const slip = leaf.page.locator('.slip');
    check(!(await slip.isVisible()), 'no slip at first');
    await leaf.tap(await leaf.middleOf(markOf(leaf, 1, /^8, red rot/).locator('text')));
    await until('the slip', () => slip.isVisible());
    const words = await slip.innerText();
    check(/^8\s+red rot, spine leather/.test(words) && /±.*mm²/.test(words), `on the slip: ${words}`);
    await leaf.picture('report-html-slip');
    equal(await leaf.axe(), [], 'axe-core, with the slip');
    await leaf.tap(await leaf.middleOf(slip.getByRole('button', { name: 'Close' })));
    await until('no slip', async () => !(await slip.isVisible()));
  }, PHONE);
});

test('a mark of the stage that is hidden is uncovered when it is reached', async () => {
  await atLeaf(async (leaf) => {
    await toPlate(leaf, 1);
    await sliderOf(leaf, 1).focus();
    await leaf.keys('Home'); // all of the second stage
    await markOf(leaf, 1, /^8, red rot/).focus();
    const at = await leaf.middleOf(markOf(leaf, 1, /^8, red rot/).locator('text'));
    equal(await stageAt(leaf, 1, at), 1, 'where its number stands');
  });
});

test('by keyboard: words of a mark, to the list and back', async () => {
  await atLeaf(async (leaf) => {
    await toPlate(leaf, 1);
    await leaf.plate(1).locator('.marks a').first().focus();
    const words = leaf.plate(1).locator('.callouts > li').first();
    check(await words.evaluate((node) => node.classList.contains('chosen')), 'its words are chosen');
    await leaf.keys('Enter');
    await until('Enter to lead to its words', () => words.evaluate((node) => node.contains(document.activeElement)));
    await leaf.picture('report-html-keys');
    await leaf.keys('Enter');
    await until('the way back to the mark', () => leaf.page.evaluate(() => document.activeElement.closest('.marks') !== null));
    await leaf.keys('Tab');
    const second = leaf.plate(1).locator('.callouts > li').nth(1);
    check(await second.evaluate((node) => node.classList.contains('chosen')), 'Tab goes to the next');
    await leaf.keys('Escape');
    equal(await leaf.page.locator('.chosen').count(), 0, 'Escape puts them away');
  });
});

test('a mark within another can be touched', async () => {
  await atLeaf(async (leaf) => {
    for (const n of [1, 5]) {
      await toPlate(leaf, n);
      for (const mark of await leaf.plate(n).locator('.picture:first-of-type .marks a').all()) {
        const at = await leaf.middleOf(mark.locator('text'));
        await sliderOf(leaf, n).fill('100');
        await leaf.click(at);
        const id = await mark.getAttribute('href');
        check(await leaf.page.locator(id).evaluate((node) => node.classList.contains('chosen')), `${n}: ${id} by its number`);
      }
    }
  });
});

for (const colorScheme of ['light', 'dark'])
  for (const width of [320, 1280])
    test(`axe-core finds nothing, ${colorScheme}, ${width} px wide; no sideways way`, async () => {
      await atLeaf(async (leaf) => {
        await until('the scrollers', () => leaf.page.evaluate(() =>
          [...document.querySelectorAll('.wide')].every((node) => node.scrollWidth <= node.clientWidth || node.tabIndex === 0)));
        equal(await leaf.axe(), [], 'axe-core');
        const [wide, window] = await leaf.page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
        check(wide <= window, `${wide} px wide in ${window}`);
        await leaf.picture(`report-html-${colorScheme}-${width}-top`);
        await toPlate(leaf, 5);
        await leaf.picture(`report-html-${colorScheme}-${width}-plate`);
      }, { colorScheme, viewport: { width, height: 820 } });
    });

test('nothing but its own script runs in it', async () => {
  const leaf = await Leaf.open(shelf.path('studio'));
  await leaf.page.evaluate(() => {
    const script = document.createElement('script');
    script.textContent = 'globalThis.wasRun = true';
    document.body.append(script);
    const picture = new Image();
    picture.src = 'http://127.0.0.1:9/spy.png';
    document.body.append(picture);
  });
  const refused = () => leaf.wrongs.filter((wrong) => /violates the following Content Security Policy/.test(wrong));
  await until('both refused', () => refused().length === 2);
  equal(await leaf.page.evaluate(() => globalThis.wasRun ?? null), null, 'the script');
  leaf.wrongs = [];
  await leaf.close();
});

test('without a script both stages stand there whole, and links lead to the words', async () => {
  await atLeaf(async (leaf) => {
    const frames = leaf.plate(1).locator('.picture-frame');
    const [first, second] = [await frames.nth(0).boundingBox(), await frames.nth(1).boundingBox()];
    check(first.x + first.width <= second.x || first.y + first.height <= second.y, 'beside or below one another');
    check(!(await leaf.plate(1).locator('.slider').isVisible()), 'no slider that does nothing');
    await leaf.plate(1).locator('.marks a').first().focus();
    await leaf.keys('Enter');
    await until('the way to its words', () => /#plate-1_mark-1$/.test(leaf.page.url()));
  }, { javaScriptEnabled: false });
});

/** The page, from 1, that each plate begins on. */
function platePages(path) {
  const { stdout } = spawnSync('pdftotext', ['-layout', path, '-'], { encoding: 'utf8' });
  const pages = stdout.split('\f');
  return pages.flatMap((text, i) => [...text.matchAll(/Plate \d+ of \d+/g)].map(() => i + 1));
}

test('on a telephone a table of many columns is read row by row, none of it out of sight', async () => {
  await atLeaf(async (leaf) => {
    const tables = leaf.page.locator('table.stacked');
    check(await tables.count() > 0, 'there is such a table');
    const hidden = await tables.evaluateAll((nodes) => nodes.flatMap((node) => [...node.querySelectorAll('tbody :is(td, th)')])
      .filter((cell) => cell.getBoundingClientRect().right > innerWidth || cell.scrollWidth > cell.clientWidth + 1)
      .map((cell) => cell.textContent));
    equal(hidden, [], 'cells out of sight');
    check(await tables.first().locator('.head').first().isVisible(), 'a cell says what it is');
    await tables.first().scrollIntoViewIfNeeded();
    await leaf.picture('report-html-phone-table');
  }, PHONE);
});

/** Of every bar of a plate: its length on the screen over the width of its picture, and the share that its file states. */
const barsOf = (leaf, n) => leaf.plate(n).locator('.picture').evaluateAll((pictures) => pictures.map((picture) => {
  const [bar, frame] = [picture.querySelector('.bar rect'), picture.querySelector('.picture-frame')];
  return { share: bar.getBoundingClientRect().width / frame.getBoundingClientRect().width, stated: parseFloat(bar.getAttribute('width')) / 100,
    shown: bar.getBoundingClientRect().right <= picture.querySelector('.caption').getBoundingClientRect().right };
}));

for (const [where, width, media] of [['wide', 1280, 'screen'], ['on a telephone', 390, 'screen'], ['on paper', 688, 'print']])
  test(`a scale bar is as long as its picture says, ${where}`, async () => {
    await atLeaf(async (leaf) => {
      await leaf.page.setViewportSize({ width, height: 900 });
      await toPlate(leaf, 1);
      await leaf.page.emulateMedia({ media });
      const bars = await barsOf(leaf, 1);
      equal(bars.length, 2);
      for (const { share, stated, shown } of bars) {
        check(Math.abs(share / stated - 1) < 0.01, `${share} of the picture's width, ${stated} stated`);
        check(shown, 'the whole of it is seen');
      }
    });
  });

test('it prints on A4, both stages whole, no slider', async () => {
  await atLeaf(async (leaf) => {
    mkdirSync(PICTURES, { recursive: true });
    const path = join(PICTURES, 'report-html.pdf');
    await leaf.page.pdf({ path, preferCSSPageSize: true });
    const { stdout, error } = spawnSync('pdfinfo', [path], { encoding: 'utf8' });
    check(!error, 'pdfinfo, of poppler-utils, is not installed');
    const [, width, height] = /Page size:\s+([\d.]+) x ([\d.]+)/.exec(stdout).map(Number);
    check(Math.abs(width - A4[0]) < 1 && Math.abs(height - A4[1]) < 1, `${width} x ${height} pt`);
    const pages = Number(/Pages:\s+(\d+)/.exec(stdout)[1]);
    note(`${pages} pages`);
    const feet = spawnSync('pdftotext', ['-layout', path, '-'], { encoding: 'utf8' }).stdout.split('\f').slice(0, pages).map((text) => text.trim().split('\n').at(-1));
    equal(feet.map((foot) => foot.replace(/\s{2,}/, ' | ')), feet.map((_, i) => `${FOOT} | page ${i + 1} of ${pages}`), 'the feet of the pages');
    equal(platePages(path).map((page, i, all) => (all[i + 1] ?? pages + 1) - page), platePages(path).map(() => 1),
      'pages that a plate takes');
    await leaf.page.emulateMedia({ media: 'print' });
    const clips = await leaf.plate(1).locator('.picture-frame').evaluateAll((nodes) => nodes.map((node) => getComputedStyle(node).clipPath));
    equal(clips, ['none', 'none'], 'nothing is cut');
    check(!(await leaf.plate(1).locator('.slider').isVisible()), 'no slider');
  });
});

test('a public one opens as quietly, in German too', async () => {
  await atLeaf(async (leaf) => {
    equal(await leaf.axe(), [], 'axe-core');
    equal(await leaf.page.evaluate(() => document.documentElement.lang), 'de');
    await toPlate(leaf, 1);
    await leaf.picture('report-html-public');
  }, { whom: 'public', language: 'de' });
});

await run(async () => {
  shelf.remove();
  await stopBrowser();
});
