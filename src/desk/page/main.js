// Lays the page out and joins its parts. Every part listens to the store and changes nothing but
// through it.

import { joinAids } from './aids.js';
import { layBench } from './bench.js';
import { book } from './book.js';
import { toggleDocuments } from './documents.js';
import { toggleFraming } from './framing.js';
import { hands } from './hands.js';
import { toggleHelp } from './help.js';
import { joinKeys, ways } from './keys.js';
import { joinLanguage } from './language.js';
import { closeLeaf, joinLeaf } from './leaf.js';
import { joinLine } from './line.js';
import { fill, find, make } from './make.js';
import { joinMerge } from './merge.js';
import { dayOf, phrase } from './phrases.js';
import { joinPress } from './press.js';
import { togglePlate } from './preview.js';
import { joinRow } from './row.js';
import { isDark, set, settings } from './settings.js';
import { joinSlip } from './slip.js';
import { joinVoice } from './speak.js';
import { capital, isNew, stageWord } from './tell.js';
import { joinVolume, toggleVolume } from './volume.js';

/** Tools that are ways to use another. */
const TAB_OF = { hole: 'area', freehand: 'area' };

/** A tool is in hand while its tab is open. */
function joinTools() {
  const bar = find('#tools');
  const tabs = [...bar.querySelectorAll('[data-tool]')];
  const show = () => {
    const name = TAB_OF[book.tool] ?? book.tool;
    for (const tab of tabs) tab.setAttribute('aria-pressed', String(tab.dataset.tool === name));
    const taken = tabs.find((tab) => tab.dataset.tool === name);
    if (taken) bar.scrollLeft = taken.offsetLeft - bar.offsetLeft - taken.offsetWidth; // a narrow strip scrolls
  };
  for (const tab of tabs) tab.addEventListener('click', () => book.setTool(tab.dataset.tool));
  book.addEventListener('tool', show);
  show();
}

/** In a toolbar the arrows go from tool to tool, and Tab leaves it. */
function joinArrows(bar) {
  const buttons = [...bar.querySelectorAll('button')];
  const only = (button) =>
    buttons.forEach((one) => {
      one.tabIndex = one === button ? 0 : -1;
    });
  only(buttons[0]);
  bar.addEventListener('focusin', (event) => only(event.target));
  bar.addEventListener('keydown', (event) => {
    const by = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[event.key];
    if (!by) return;
    event.preventDefault();
    buttons[(buttons.indexOf(event.target) + by + buttons.length) % buttons.length].focus();
  });
}

function captionOf(photo) {
  const stage = !photo.stage && isNew(photo) ? phrase('not-taken-in') : stageWord(photo.stage);
  const scale = photo.scale_shown ?? (photo.why_shown ? phrase('no-scale-why', { why: photo.why_shown }) : phrase('no-scale'));
  return [
    make('span', {}, `${capital(stage)} \u00b7 ${dayOf(photo.taken)}`),
    make('span', { class: 'figures' }, isNew(photo) ? photo.file : scale),
  ];
}

function joinCaptions() {
  book.addEventListener('photo', () => fill(find('#caption'), captionOf(book.photo)));
  const showOther = () => {
    find('#bench').classList.toggle('alone', book.other === null);
    if (book.other) fill(find('#beside-caption'), captionOf(book.other));
  };
  book.addEventListener('other', showOther);
  showOther();
}

function showSwitches() {
  fill(find('[data-do="look"] span'), phrase(isDark() ? 'light' : 'dark'));
  fill(find('[data-do="mirror"] span'), phrase(settings.hand === 'left' ? 'right-hand' : 'left-hand'));
}

let begun = null; // once the volume has been read

const ACTS = {
  volume: () => begun.then(toggleVolume),
  documents: () => begun.then(toggleDocuments),
  plate: togglePlate,
  framing: toggleFraming,
  help: toggleHelp,
  swap: () => book.swap(),
  undo: () => hands.bench.undo(),
  redo: () => book.redo(),
  look: () => {
    set('look', isDark() ? 'light' : 'dark');
    showSwitches();
  },
  mirror: () => {
    set('hand', settings.hand === 'left' ? 'right' : 'left');
    showSwitches();
  },
  more: () =>
    find('[data-do="more"]').setAttribute('aria-expanded', String(find('#line').classList.toggle('open'))),
};

function joinActs() {
  for (const [name, run] of Object.entries(ACTS))
    for (const button of document.querySelectorAll(`[data-do="${name}"]`))
      button.addEventListener('click', run);
  const showBack = () => {
    const canTakeBack = book.draft || hands.bench?.canTakeBack; // a corner of what is being drawn
    find('[data-do="undo"]').disabled = !book.canUndo && !canTakeBack;
    find('[data-do="redo"]').disabled = !book.canRedo;
  };
  for (const name of ['history', 'draft', 'actions']) book.addEventListener(name, showBack);
  showBack();
  showSwitches();
}

function joinWays(slip) {
  const open = (name) => {
    closeLeaf();
    slip.turn(name);
    slip.slide(true);
  };
  ways.mark = () => {
    open('marks');
    if (book.peekMark()) slip.words.term.focus();
  };
  ways.photo = () => {
    open('photo');
    if (book.scaleDraft) slip.photo.scale.focus();
    else slip.photo.stage.focus();
  };
  ways.owed = () => {
    open('owed');
    slip.faces.owed.tab.focus();
  };
}

const LAST = 'desk-photo'; // what lay on the bench, for this window's next reload

/** Another photograph is asked for: the bench is wanted, not the leaf. */
function joinBench() {
  let shown = null;
  book.addEventListener('photo', () => {
    if (shown !== null && book.photo.id !== shown) closeLeaf();
    shown = book.photo.id;
    sessionStorage.setItem(LAST, shown);
  });
}

/** The chosen mark is in sight, whoever chose it. */
function joinMarks() {
  let shown = null;
  book.addEventListener('mark', () => {
    if (book.mark !== null && book.mark !== shown) hands.bench.show(book.mark);
    shown = book.mark;
  });
}

/** What was on the bench before the reload, else the row's first; of an empty folder, what to do. */
async function layFirst() {
  const { photos } = book.volume;
  if (book.isLaid || photos.length === 0) return;
  const last = photos.find(({ id }) => id === sessionStorage.getItem(LAST));
  await book.open((last ?? photos[0]).id);
}

function showEmpty() {
  if (book.volume.photos.length > 0) return;
  slip.turn('owed');
  fill(find('#caption'), phrase('empty'));
}

begun = book.begin();
joinTools();
joinArrows(find('#tools'));
joinLine();
joinCaptions();
const slip = joinSlip();
joinRow(slip);
joinVoice();
joinLanguage();
joinMerge();
joinLeaf();
joinVolume();
joinActs();
joinPress();
joinKeys();
joinWays(slip);
joinBench();
await begun;
find('#bench').inert = false; // what was pressed on it before would have had no volume to act on
hands.bench = layBench(find('#large'), find('#small'));
joinAids(hands.bench);
joinMarks();
for (const name of ['volume', 'back']) book.addEventListener(name, layFirst);
layFirst();
showEmpty();
