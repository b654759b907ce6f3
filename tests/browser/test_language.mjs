// The page in another language: walked from state to state in German, where no word of its English is
// left and nothing is cut; and in a language of one's own whose letters are no letters of ASCII, so that
// whatever the page says without asking the words for it shows.

import { cpSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { FRONT, SOURCE, check, equal, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { findFaults } from './eyes.mjs';
import { readSidecar } from './sidecar.mjs';
import { BENCH, stopBrowser } from './window.mjs';

const STYLES = process.env.PLATEWRIGHT_STYLES ?? join(SOURCE, 'styles');
const SIZES = [[BENCH.width, BENCH.height], [320, 640]];

const speaks = (language) => (volume) => {
  const text = volume.read('volume.yaml');
  volume.write('volume.yaml', text.replace(/\n(?=received:)/, `\nlanguage: ${language}\n`));
};

// ---- What a person may see and hear ----

/** Runs in the page before it: what is said aloud and under the photograph is kept, for it goes again. */
function listen() {
  globalThis.heard = new Set();
  const places = '#polite, #urgent, #tool-says, #alarms';
  new MutationObserver((all) => {
    for (const { target } of all) {
      const place = (target.closest ? target : target.parentElement)?.closest(places);
      if (place?.textContent.trim()) globalThis.heard.add(place.textContent.trim());
    }
  }).observe(document, { subtree: true, childList: true, characterData: true });
}

/** Runs in the page: every text that is seen, said or shown when pointed at. */
function readTexts() {
  const found = new Set([document.title, ...globalThis.heard]);
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const { parentElement: at } = node;
    const isOption = at.tagName === 'OPTION' || at.closest('svg [role="img"], svg');
    if (!at.closest('script, style') && (isOption || at.checkVisibility({ visibilityProperty: true }))) found.add(node.data);
  }
  for (const node of document.body.querySelectorAll('*'))
    if (node.checkVisibility())
      for (const name of ['aria-label', 'title', 'placeholder', 'alt', 'data-title']) found.add(node.getAttribute(name) ?? '');
  for (const input of document.querySelectorAll('[role="combobox"]')) if (input.checkVisibility()) found.add(input.value);
  return [...found].map((text) => text.replace(/\s+/g, ' ').trim()).filter(Boolean);
}

const textsOf = (window) => window.page.evaluate(readTexts);

/** What a person wrote into the record, which is shown as it was written. */
function proseOf({ path }) {
  const files = readdirSync(path, { recursive: true }).filter((file) => file.endsWith('.yaml'));
  const quoted = files.flatMap((file) => [...readFileSync(join(path, file), 'utf8').matchAll(/"((?:[^"\\]|\\.)*)"/g)].map(([, text]) => text));
  return [...new Set(quoted)].filter((text) => /[A-Za-z]/.test(text)).sort((a, b) => b.length - a.length);
}

const without = (text, known) => known.reduce((left, one) => left.replaceAll(one, '\u2026'), text);

// ---- The walk ----

/** The slip up or down, where it is not there always. */
async function slide(window, up) {
  const handle = window.page.locator('.slip-handle');
  if (await handle.isVisible() && String(up) !== await handle.getAttribute('aria-expanded')) await window.press(handle);
}

const onFace = (name) => async (window) => {
  await slide(window, true);
  await window.press(window.page.locator(`#tab-${name}`));
};

/** A leaf by its key, the last one put away before. */
const onLeaf = (key, seen) => async (window) => {
  await slide(window, false);
  await window.page.locator('#large').focus();
  await window.keys(key);
  await window.page.locator('#leaf').locator(seen).first().waitFor();
};
const offLeaf = async (window) => {
  await window.keys('Escape');
  await window.page.locator('#large').waitFor();
};

const markOf = (number) => (window) => window.page.locator('#face-marks .marks li button').nth(number - 1);

/** State after state, each reached from the one before. */
const WALK = {
  bench: async (window) => {
    await window.page.locator('#large img').first().waitFor();
    await window.page.locator('#caption .figures').waitFor();
  },
  'a mark': async (window) => {
    await onFace('marks')(window);
    await window.press(markOf(3)(window));
    await window.page.locator('.mark-words').waitFor();
  },
  'its terms': async (window, letters) => {
    const field = window.page.locator('.mark-words [role="combobox"]').first();
    await window.press(field);
    await field.fill('quux');
    await window.page.locator('.combo-says:not([hidden])').waitFor();
    await field.fill(letters);
    await window.page.locator('[role="option"]').first().waitFor();
  },
  'its folded words': async (window) => {
    await window.keys('Escape', 'Escape');
    await window.page.locator('.mark-words summary').click();
    await window.page.locator('.mark-words details[open]').waitFor();
  },
  'the photograph': onFace('photo'),
  'a scale': async (window) => {
    await slide(window, false);
    await window.page.locator('#tools [data-tool="scale"]').click();
    await slide(window, true);
    await window.page.locator('.scale-draft:not([hidden])').waitFor();
  },
  'what is to do': async (window) => {
    await slide(window, false);
    await window.page.locator('#tools [data-tool="hand"]').click();
    await onFace('owed')(window);
  },
  'every tool': async (window) => {
    await slide(window, false);
    for (const tool of await window.page.locator('#tools [data-tool]').all()) await tool.click();
    await window.page.locator('#tools [data-tool="hand"]').click();
  },
  'several chosen': async (window) => {
    const unfold = window.page.locator('#row .narrow-only');
    if (await unfold.isVisible()) await unfold.click();
    await window.page.locator('#row .row-acts [aria-pressed]').click();
    await window.page.locator('#row .choosing button').first().click();
    await window.page.locator('#row .choosing [role="status"]').waitFor();
  },
  help: async (window) => {
    await window.page.locator('#row .row-acts > [aria-pressed="true"]').click();
    const unfold = window.page.locator('#row .narrow-only');
    if (await unfold.isVisible()) await unfold.click();
    await onLeaf('?', 'dd')(window);
  },
  framing: async (window) => {
    await offLeaf(window);
    await onLeaf('f', 'figure')(window);
  },
  'the plate': async (window) => {
    await offLeaf(window);
    await onLeaf('v', 'img')(window);
  },
  'the volume': async (window) => {
    await offLeaf(window);
    await onLeaf('b', '.entries summary')(window);
  },
  'its entries': async (window) => {
    const leaf = window.page.locator('#leaf');
    for (const list of await leaf.locator('.entries').all()) { // the first of every list
      if (await list.locator('details').count() === 0) continue;
      await list.locator('summary').first().click();
      await list.locator('.form').first().waitFor();
    }
    await leaf.evaluate((node) => node.querySelectorAll('details.more').forEach((fold) => { fold.open = true; }));
  },
  'photographs to choose from': async (window) => {
    const ask = window.page.locator('#leaf details[open] [aria-controls^="photos"]:visible');
    await ask.first().click();
    await window.page.locator('#leaf .chooser:visible .print-choice').first().click();
    await window.page.locator('#leaf .chooser:visible .marks-choice').first().waitFor();
  },
  'new entries': async (window) => {
    const leaf = window.page.locator('#leaf');
    await window.keys('Escape');
    for (const add of await leaf.locator('.new-entry + .acts > button').all()) await add.click();
    await leaf.locator('.new-entry:visible').first().waitFor();
  },
  'the documents': async (window) => {
    await offLeaf(window);
    await onLeaf('i', '.documents img')(window);
    await window.page.locator('.order input[value="summary"]').check({ force: true });
    await window.page.locator('.order input[value="public"]').check({ force: true });
    await window.page.locator('.order .help').filter({ hasText: '2' }).waitFor(); // left out
    await window.press(window.page.locator('.order [aria-controls^="issue-"]'));
    await window.page.locator('.issue-panel').waitFor();
  },
  'labels of pieces': async (window) => {
    await window.page.locator('.order input[value="labels"]').check({ force: true });
    await window.page.locator('.order .help').filter({ hasText: '100' }).waitFor();
  },
  'the bench again': offLeaf,
};

/** Goes through every state; `letters`: a term is looked for by them; `look(what)` is told each, once it is there. */
async function walk(window, letters, look) {
  for (const [what, reach] of Object.entries(WALK)) {
    await reach(window, letters);
    await look(what);
  }
}

// ---- German ----

/** Phrases of a file of words: Map of key -> phrase. */
function phrasesOf(language) {
  const text = readFileSync(join(STYLES, 'words', `${language}.yaml`), 'utf8');
  return new Map([...text.matchAll(/^ {2}(desk-[a-z0-9-]+): "(.*)"$/gm)].map(([, key, phrase]) => [key, phrase]));
}

/** What is English and not German: patterns of whole texts, blanks standing for anything. */
function englishAlone() {
  const german = phrasesOf('de');
  const own = new Set([...german.values()].map((phrase) => phrase.toLowerCase()));
  const bare = (phrase) => phrase.replaceAll(/\{[a-z]+\}/g, '').replaceAll(/[^A-Za-z]/g, '').length;
  return [...phrasesOf('en')].filter(([, phrase]) => bare(phrase) > 1 && !own.has(phrase.toLowerCase()))
    .map(([key, phrase]) => ({ key, pattern: new RegExp(`^${phrase.split(/\{[a-z]+\}/)
      .map((part) => part.replaceAll(/[.*+?^${}()|[\]\\]/g, '\\$&')).join('.+')}$`, 'i') }));
}

for (const [width, height] of SIZES)
  test(`${width} px: a German volume is marked in German, and nothing is cut`, async () => {
    const english = englishAlone();
    await atDesk(async ({ volume, window }) => {
      const prose = proseOf(volume);
      equal(await window.page.evaluate(() => document.documentElement.lang), 'de', 'the language of the page');
      await walk(window, 'ri', async (what) => {
        const left = (await textsOf(window)).flatMap((text) => english.filter(({ pattern }) => pattern.test(without(text, prose)))
          .map(({ key }) => `${key}: ${text}`));
        equal(left, [], `English, ${what}`);
        equal(await findFaults(window), [], `${width} px, ${what}`);
        if (width === BENCH.width) equal(await window.axe(), [], `axe-core, ${what}`);
        await window.picture(`german-${width}-${what.replaceAll(' ', '-')}`);
      });
    }, { prepare: speaks('de'), listen, viewport: { width, height } });
  });

test('what is typed in German stands in the record as ever: English terms, points in numbers', async () => {
  await atDesk(async ({ volume, window }) => {
    await onFace('marks')(window);
    await window.press(markOf(3)(window));
    const term = window.page.getByRole('combobox', { name: 'Befund', exact: true });
    equal(await term.inputValue(), 'Fleck', 'the term');
    await term.fill('tear'); // the English name finds it, too
    await term.press('Enter');
    equal(await term.inputValue(), 'Riss', 'the term that was found');
    await window.page.locator('.mark-words summary').click();
    const level = window.page.locator('.mark-words').getByRole('textbox', { name: 'Ebene', exact: true });
    await level.fill('-3,5');
    await level.press('Tab');
    const mark = () => readSidecar(volume.sidecar(FRONT)).marks.find(({ id }) => id === '3');
    await until('the level', () => mark()['plane-offset'] === '-3.5');
    equal([mark().term, await level.inputValue()], ['tear', '-3,5'], 'the mark');
    await window.keys('Escape');
    await window.page.locator('#large').focus();
    await onLeaf('b', '.entries summary')(window);
    const mass = window.page.getByRole('textbox', { name: 'Gewicht', exact: true });
    equal(await mass.inputValue(), '4,9', 'the mass');
    for (const [given, written] of [['5,25', '5.25'], ['5.75', '5.75']]) {
      await mass.fill(given);
      await mass.press('Tab');
      await until(`a mass of ${written}`, () => new RegExp(`mass: ${written}$`, 'm').test(volume.read('volume.yaml')));
    }
    await until('the mass as German has it', async () => await mass.inputValue() === '5,75');
  }, { prepare: speaks('de') });
});

test('on the leaf of the volume days end their lines as German has them, and every language is offered', async () => {
  await atDesk(async ({ window }) => {
    await window.page.locator('#caption .figures').waitFor();
    await window.page.getByRole('button', { name: 'Band', exact: true }).click();
    const day = window.page.locator('.entry summary .figures.soft').filter({ hasText: /^9\. März 2026$/ });
    await day.first().waitFor({ state: 'attached' });
    equal(await window.page.locator('.entry summary .figures.soft').filter({ hasText: /\d{4}-\d{2}-\d{2}/ }).count(), 0, 'ISO days');
    const tags = await window.page.getByLabel('Sprache', { exact: true }).locator('option').evaluateAll((all) => all.map(({ value }) => value));
    equal(tags.join(' ').trim(), 'de en', 'the languages that there are words of');
  }, { prepare: speaks('de') });
});

test('when the volume is given another language the page offers to be loaded in it', async () => {
  await atDesk(async ({ volume, window }) => {
    await window.page.locator('#caption .figures').waitFor();
    volume.write('volume.yaml', volume.read('volume.yaml').replace('language: de', 'language: en'));
    const band = window.page.getByRole('status').filter({ hasText: 'Der Band hat jetzt eine andere Sprache.' });
    await band.waitFor();
    await window.picture('german-no-longer');
    window.expect(/request failed: .*net::ERR_ABORTED/); // the page that is left is asked nothing more
    await band.getByRole('button').click();
    await window.page.getByRole('button', { name: 'Volume', exact: true }).waitFor();
    equal(await window.page.evaluate(() => document.documentElement.lang), 'en', 'the language of the page');
  }, { prepare: speaks('de') });
});

// ---- A language that has no letter of ASCII ----

/** "Ｒｉｓｓ" of "Riss"; blanks stay. */
const strange = (text) => text.split(/(\{[a-z-]+\})/)
  .map((part, i) => (i % 2 ? part : part.replaceAll(/[A-Za-z]/g, (letter) => String.fromCodePoint(letter.codePointAt(0) + 0xfee0)))).join('');

/** The folder of styles with one language more, `xx`, which lacks the word `lacking`. */
function strangeStyles(lacking = null) {
  const folder = mkdtempSync(join(tmpdir(), 'platewright-styles-'));
  cpSync(STYLES, folder, { recursive: true });
  const german = readFileSync(join(STYLES, 'words', 'de.yaml'), 'utf8');
  const text = german.replace(/^language: de$/m, 'language: xx')
    .replaceAll(/^( {2,}(?!source:)[a-z0-9 -]+: )"(.*)"$/gm, (line, key, words) => `${key}"${strange(words)}"`)
    .replace(/months: \[(.*)\]/, (line, names) => `months: [${strange(names)}]`)
    .replace(new RegExp(`^ {2}${lacking}: .*\n`, 'm'), '');
  writeFileSync(join(folder, 'words', 'xx.yaml'), text);
  return folder;
}

/** What is nobody's word: names of files, cameras and cards, units, the letters on keys; languages as the browser calls them. */
const NO_WORDS = [/\b(German|English|Xx)\b/g, /quux/g, /\b(bench|small|strip|id1|a6|xx|EUR|degrees)\b/g, /\S+\.(jpg|yaml)\b/g, /PSR-1887-03/g, /Larkfield \S+( \S+ mm( macro)?)?/g, /ISO \d+/g, /\b(mm|kg|px|mm²|px\/mm|Esc|Alt|F\d+)\b/g];

/** atDesk with a volume in that language. */
async function atStrangeDesk(body, lacking = null) {
  const folder = strangeStyles(lacking);
  const before = process.env.PLATEWRIGHT_STYLES;
  process.env.PLATEWRIGHT_STYLES = folder;
  try {
    await atDesk(body, { prepare: speaks('xx'), listen });
  } finally {
    if (before === undefined) delete process.env.PLATEWRIGHT_STYLES;
    else process.env.PLATEWRIGHT_STYLES = before;
    rmSync(folder, { recursive: true, force: true });
  }
}

test('what the page says it has from the words', async () => {
  await atStrangeDesk(async ({ volume, window }) => {
    const known = [...proseOf(volume), ...NO_WORDS];
    const wordsLeft = (text) => /[A-Za-z]{2,}/.test(without(text, known));
    const left = [];
    await walk(window, strange('ri'), async (what) => {
      left.push(...(await textsOf(window)).filter(wordsLeft).map((text) => `${what}: ${text.slice(0, 120)}`));
    });
    equal(left, [], 'not from the words');
  });
});

test('a word that the language lacks stands in English, and is told', async () => {
  await atStrangeDesk(async ({ window }) => {
    await window.page.getByRole('button', { name: 'Swap', exact: true }).waitFor();
    const band = window.page.getByRole('status').filter({ hasText: 'desk-swap' });
    await band.waitFor();
    check(!(await band.innerText()).includes('desk-undo'), 'no word that is there');
    await band.getByRole('button').click();
    await band.waitFor({ state: 'detached' });
  }, 'desk-swap');
});

await run(stopBrowser);
