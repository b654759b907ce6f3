// A document on paper: printed by Chromium, and on which page each of its blocks came to lie. Before it is
// printed every block is given its number, in letters too small to be seen, where its words begin and end;
// poppler reads them off the pages.

import { spawnSync } from 'node:child_process';
import { check } from './bench.mjs';

const BLOCKS = 'main :is(h2, h3, h4, h5, h6, .sign, .drawing), main > p, .list > li, .facts > div, tbody > tr, .callouts > li';

/** Runs in the page. What each block is, in the order in which they are read. */
function number(selector) {
  const insides = (node) => (node.matches('tr, .facts > div, .callouts > li, .sign') ? [...node.children] : [node]);
  const sign = (n) => {
    const span = document.createElement('span');
    span.textContent = `{${n}}`;
    Object.assign(span.style, { fontSize: '1px', lineHeight: '0' });
    return span;
  };
  const groups = [...document.querySelectorAll('table, .facts, .plate')];
  return [...document.querySelectorAll(selector)].map((node, n) => {
    const [words, high] = [node.innerText.replace(/\s+/g, ' ').slice(0, 60), node.getBoundingClientRect().height];
    for (const inside of insides(node)) { inside.prepend(sign(n)); inside.append(sign(n)); }
    return { n, kind: node.localName, name: node.className, words, high, isFirst: !node.previousElementSibling,
      isAnswer: node.parentElement.previousElementSibling?.localName === 'h3', group: groups.findLastIndex((one) => one.contains(node)) };
  });
}

/** Prints a leaf to a path; its blocks with the pages, from 1, on which something of each stands. */
export async function printed(leaf, path) {
  await leaf.page.emulateMedia({ media: 'print' });
  await leaf.page.setViewportSize({ width: Math.round((182 * 96) / 25.4), height: 1000 }); // A4 within its margins: heights are those of paper
  const blocks = await leaf.page.evaluate(number, BLOCKS);
  await leaf.page.pdf({ path, preferCSSPageSize: true });
  const { stdout, error } = spawnSync('pdftotext', ['-raw', path, '-'], { encoding: 'utf8', maxBuffer: 64 << 20 });
  check(!error, 'pdftotext, of poppler-utils, is not installed');
  for (const block of blocks) block.pages = [];
  for (const [i, text] of stdout.split('\f').entries())
    for (const n of new Set([...text.replace(/\s/g, '').matchAll(/\{(\d+)\}/g)].map((found) => Number(found[1])))) blocks[n].pages.push(i + 1);
  const lost = blocks.filter(({ pages }) => pages.length === 0).map(({ words }) => words);
  check(lost.length === 0, `not found on paper: ${lost}`);
  return blocks;
}
