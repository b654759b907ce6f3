// The scale of a photograph: what it is and where it is from, the level of the surface, and the
// numbers of a scale that is being drawn.
//
// The drawing hand puts book.scaleDraft = {method: 'rectangle' | 'span' | 'ticks', corners: "x,y x4" |
// from: "x,y", to: "x,y"}, with `scale_shown` or `why` as the server answers; here its numbers are typed
// into it, as text: width, height | length | pitch, count. It is saved by the button, or by Enter in a number.

import { book } from './book.js';
import { choiceField, textField } from './fields.js';
import { levelPicture, levelWords } from './level.js';
import { fill, make } from './make.js';

const METHODS = [['rectangle', 'a rectangle'], ['span', 'a length'], ['ticks', 'a rule']];
const ASKS = {
  rectangle: 'Drag the four corners of something rectangular whose sides you know.',
  span: 'Draw a line between two points whose distance you know.',
  ticks: 'Draw a line along the graduations of a rule.',
};
const PLACES = { rectangle: ['corners'], span: ['from', 'to'], ticks: ['from', 'to'] };
const NUMBERS = {
  rectangle: [['width', 'width', 'mm, the side you drew first'], ['height', 'height', 'mm']],
  span: [['length', 'length', 'mm']],
  ticks: [['pitch', 'apart', 'mm, from one graduation to the next'], ['count', 'how many', 'graduations, if you counted them']],
};
const OPTIONAL = new Set(['count']);

/** Edits that make a drawn scale the photograph's own, in place of any other. */
function editsOf(draft, words) {
  const { method } = draft;
  const old = Object.keys(words).filter((key) => /^scale\/(tags$|rectangle\/|span\/|ticks\/)/.test(key)).map((key) => ({ key, value: null }));
  const keys = [...PLACES[method], ...NUMBERS[method].map(([key]) => key)];
  return [...old, ...keys.filter((key) => draft[key]).map((key) => ({ key: `scale/${method}/${key}`, value: draft[key] }))];
}

function isWhole(draft) {
  return PLACES[draft.method].every((key) => draft[key])
    && NUMBERS[draft.method].every(([key]) => OPTIONAL.has(key) || Number(draft[key]) > 0);
}

export class ScaleWords {
  constructor(edit) {
    const set = (key, says) => (value, owner) => edit(owner, [{ key, value }], says);
    this.says = make('p', { class: 'figures' });
    this.draft = make('div', { class: 'scale-draft', hidden: true });
    this.draw = make('button', { type: 'button', class: 'pair', onclick: () => book.setTool('scale') }, 'draw a scale');
    this.level = textField({ label: 'level', unit: 'mm nearer than the card', set: set('scale/plane-offset', 'level') });
    this.thick = make('button', { type: 'button', class: 'pair', onclick: () => set('scale/plane-offset', 'level')('thickness', this.owner) },
      'it lay on the table, beside the volume');
    this.picture = levelPicture();
    this.levelSays = make('p', { class: 'help' });
    this.distance = textField({ label: 'distance', unit: 'mm, camera to card', mode: 'decimal', set: set('scale/camera-distance', 'camera distance'),
      help: 'Only where you measured it; else it is told from the picture.' });
    this.shape = choiceField({ label: 'shape', choices: [['flat', 'flat'], ['curved', 'curved: counts, no sizes']], set: set('shape', 'shape') });
    this.own = make('div', {}, this.says, this.draw, this.draft);
    this.node = make('section', { class: 'scale-words' }, make('h3', {}, 'Scale'), this.own, this.level.node,
      make('div', { class: 'level' }, this.picture.node, make('div', {}, this.levelSays, this.thick)), this.distance.node, this.shape.node);
    this.buildDraft();
    book.addEventListener('scale-draft', () => this.showDraft());
    book.addEventListener('tool', () => this.showDraft());
  }

  buildDraft() {
    this.method = choiceField({ label: 'by', choices: METHODS, loose: false, set: (method) => book.setScaleDraft({ method }) });
    this.asks = make('p', { class: 'soft' });
    const change = (key) => (value) => book.setScaleDraft({ ...book.scaleDraft, [key]: value });
    this.numbers = Object.fromEntries(Object.entries(NUMBERS).map(([method, rows]) =>
      [method, rows.map(([key, label, unit]) => [key, textField({ label, unit, mode: 'decimal', set: change(key) })])]));
    this.shown = make('p', { class: 'figures', 'aria-live': 'polite' });
    this.use = make('button', { type: 'button', class: 'strong', onclick: () => this.save() }, 'Use this scale');
    this.draft.append(this.method.node, this.asks, ...Object.values(this.numbers).flat().map(([, field]) => field.node), this.shown,
      make('div', { class: 'acts' }, this.use, make('button', { type: 'button', class: 'quiet', onclick: () => this.leave() }, 'Leave it')));
    this.draft.addEventListener('keydown', (event) => {
      if (event.key !== 'Enter' || event.target.tagName !== 'INPUT') return;
      event.target.dispatchEvent(new Event('change')); // what was just typed belongs to it
      if (book.scaleDraft && isWhole(book.scaleDraft)) this.save();
    });
  }

  save() {
    book.edit(editsOf(book.scaleDraft, book.photo.words), { says: 'scale set' });
    this.leave();
  }

  leave() {
    book.setScaleDraft(null);
    book.setTool('hand');
  }

  showDraft() {
    const isDrawing = book.tool === 'scale';
    this.draft.hidden = !isDrawing;
    this.draw.hidden = isDrawing;
    const draft = book.scaleDraft ?? {};
    this.method.show(draft.method, null);
    this.asks.textContent = ASKS[draft.method] ?? 'What of known size is in the picture?';
    for (const [method, rows] of Object.entries(this.numbers))
      for (const [key, field] of rows) {
        field.node.hidden = method !== draft.method;
        field.show(draft[key], method);
      }
    this.shown.textContent = draft.scale_shown ?? draft.why ?? '';
    this.use.disabled = !draft.method || !isWhole(draft);
  }

  show(photos, owner, value) {
    const [photo] = photos;
    this.owner = owner;
    this.own.hidden = photos.length > 1;
    fill(this.says, photo.scale_shown ?? `No scale${photo.why ? `: ${photo.why}` : ''}.`);
    const level = value('scale/plane-offset');
    this.level.show(level, owner);
    this.picture.show(level);
    this.levelSays.textContent = levelWords(level);
    this.distance.show(value('scale/camera-distance'), owner);
    this.shape.show(value('shape') ?? (photos.length > 1 ? null : 'flat'), owner);
    this.showDraft();
  }
}
