// Documents as their readers get them, of the demo and of volumes under stress: on paper no heading parted
// from its words, no row alone, no figure torn; on narrow screens nothing out of sight and no word broken.

import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { PICTURES, equal, note, run, test } from './bench.mjs';
import { Leaf, Shelf } from './leaf.mjs';
import { printed } from './paper.mjs';
import { stopBrowser } from './window.mjs';

const PX_PER_MM = 96 / 25.4;
const HIGH_ROW_MM = 25; // a row this high may stand alone at an end of its table
const PAGE_MM = 297 - 16 - 18; // within the margins

const PRINTED = [['demo', 'condition', 'owner', 'en'], ['demo', 'treatment', 'studio', 'de'], ['demo', 'proposal', 'owner', 'de'],
  ['ledger', 'treatment', 'owner', 'en'], ['long', 'condition', 'owner', 'de'], ['marks', 'condition', 'owner', 'en']];
const NARROW = [['demo', 'condition', 'studio', 'en'], ['demo', 'treatment', 'owner', 'de'], ['demo', 'summary', 'public', 'en'],
  ['long', 'treatment', 'studio', 'de'], ['ledger', 'receipt', 'owner', 'en'], ['bare', 'proposal', 'owner', 'de']];

const shelf = new Shelf();

async function atReport(report, body, options = {}) {
  const leaf = await Leaf.open(shelf.report(...report), options);
  await body(leaf);
  await leaf.close();
}

// ---- On paper ----

const said = ({ words, pages }) => `${words} (${pages.join(', ')})`;

/** Headings that end a page: what follows them begins on another. */
function lastOnPage(blocks) {
  return blocks.filter(({ kind, pages }, i) => /^h[2-6]$/.test(kind) && blocks[i + 1] && blocks[i + 1].pages[0] !== pages.at(-1));
}

/** Notes between a heading and a table, parted from either. */
function partedNotes(blocks) {
  return blocks.filter(({ kind, name, pages }, i) => kind === 'p' && name === 'note' && blocks[i + 1]?.kind === 'tr' &&
    blocks[i + 1].pages[0] !== pages.at(-1));
}

/** Rows and facts that stand alone on a page while others of theirs stand on another. */
function alone(blocks) {
  const rows = blocks.filter(({ kind }) => kind === 'tr' || kind === 'div');
  return rows.filter((row) => {
    const others = rows.filter(({ group, n }) => group === row.group && n !== row.n);
    return row.high < HIGH_ROW_MM * PX_PER_MM && others.length > 0 && !others.some(({ pages }) => pages.includes(row.pages[0]));
  });
}

/** What a page could hold and stands on two. */
function torn(blocks) {
  return blocks.filter(({ kind, name, pages, high }) => (['tr', 'div', 'li'].includes(kind) || name === 'note') && pages.length > 1 && high < PAGE_MM * PX_PER_MM / 2);
}

/** Facts under the question that they answer, on more than one page. */
function partedAnswers(blocks) {
  const answers = blocks.filter(({ kind, isAnswer }) => kind === 'div' && isAnswer);
  return answers.filter(({ group, isFirst, pages, high }) => {
    const all = answers.filter((one) => one.group === group);
    const sum = all.reduce((mm, one) => mm + one.high / PX_PER_MM, 0);
    return isFirst && sum < PAGE_MM / 2 && all.some((one) => one.pages.at(-1) !== pages[0]) && high > 0;
  });
}

for (const report of PRINTED)
  test(`on paper nothing is parted from what it belongs to: ${report.join(', ')}`, async () => {
    await atReport(report, async (leaf) => {
      mkdirSync(PICTURES, { recursive: true });
      const blocks = await printed(leaf, join(PICTURES, `report-pages-${report.join('-')}.pdf`));
      note(`${blocks.length} blocks on ${Math.max(...blocks.flatMap(({ pages }) => pages))} pages`);
      equal(lastOnPage(blocks).map(said), [], 'headings at the foot of a page');
      equal(partedNotes(blocks).map(said), [], 'notes parted from their table');
      equal(alone(blocks).map(said), [], 'rows alone');
      equal(torn(blocks).map(said), [], 'on two pages');
      equal(partedAnswers(blocks).map(said), [], 'answers on two pages');
      equal(await leaf.page.evaluate(tornFigures), [], 'figures on two lines');
    });
  });

// ---- On a screen ----

/** Runs in the page: figures that are parted from their sign or unit. */
function tornFigures() {
  const found = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let text = walker.nextNode(); text; text = walker.nextNode())
    for (const { index, 0: words } of text.data.matchAll(/[±×−][ \u00a0][0-9]|[0-9][ \u00a0](±|×|%|mm|kg)/g)) {
      const range = document.createRange();
      range.setStart(text, index);
      range.setEnd(text, index + words.length);
      const tops = [...range.getClientRects()].filter(({ width }) => width > 0.1).map(({ top }) => Math.round(top));
      if (tops.some((top) => top !== tops[0])) found.push(text.data.slice(0, 60));
    }
  return found;
}

/** Runs in the page: what lies beyond its edge, but in a drawing, which has a frame to be moved in. */
function beyond() {
  return [...document.querySelectorAll('body *:not(.skip, .drawing *, .picture-frame *, thead, thead *)')]
    .filter((node) => node.getBoundingClientRect().right > innerWidth + 0.5)
    .map((node) => `${node.localName}.${node.className} ${node.textContent.slice(0, 40)}`);
}

/** Runs in the page: words of a table that are broken though their line holds them, and cells of many thin lines. */
function brokenInTables() {
  const lines = (range) => new Set([...range.getClientRects()].filter(({ width }) => width > 0.1).map(({ top }) => Math.round(top / 4))).size;
  return [...document.querySelectorAll('tbody :is(th, td)')].flatMap((cell) => {
    const all = document.createRange();
    all.selectNodeContents(cell);
    const isThin = lines(all) > 5 && cell.textContent.length / lines(all) < 10;
    const walker = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT);
    const broken = [];
    for (let text = walker.nextNode(); text; text = walker.nextNode())
      for (const { index, 0: word } of text.data.matchAll(/[\p{L}\p{N}]+/gu)) {
        const range = document.createRange();
        range.setStart(text, index);
        range.setEnd(text, index + word.length);
        if (word.length < 20 && lines(range) > 1) broken.push(word);
      }
    return isThin ? [...broken, `thin: ${cell.textContent.slice(0, 40)}`] : broken;
  });
}

for (const report of NARROW)
  for (const width of [320, 390])
    test(`${width} px wide all of it is in sight: ${report.join(', ')}`, async () => {
      await atReport(report, async (leaf) => {
        equal(await leaf.page.evaluate(() => document.documentElement.scrollWidth - innerWidth), 0, 'a way sideways');
        equal(await leaf.page.evaluate(beyond), [], 'beyond the edge');
        equal(await leaf.page.evaluate(brokenInTables), [], 'broken');
        equal(await leaf.page.evaluate(tornFigures), [], 'figures on two lines');
      }, { viewport: { width, height: 780 }, hasTouch: true, isMobile: true });
    });

await run(async () => {
  shelf.remove();
  await stopBrowser();
});
