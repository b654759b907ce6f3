// The scale of a photograph: what it is and where it is from, the level of the surface, and the
// numbers of a scale that is being drawn. Drawing and saving it is the drawing hand's; it shows what it
// has as book.scaleDraft = {method, n, sizes, ready, scale_shown, why}.

import { book } from './book.js';
import { choiceField, textField } from './fields.js';
import { hands } from './hands.js';
import { levelPicture, levelWords } from './level.js';
import { button, fill, make } from './make.js';
import { phrase } from './phrases.js';
import { NAMES } from './tell.js';

const METHODS = ['rectangle', 'span', 'ticks'];
const NUMBERS = { rectangle: ['width', 'height'], span: ['length'], ticks: ['pitch', 'count'] };

export class ScaleWords {
  constructor(edit) {
    const set = (key, says) => (value, owner) => edit(owner, [{ key, value }], says);
    this.says = make('p', { class: 'figures' });
    this.draft = make('div', { class: 'scale-draft', hidden: true });
    this.draw = button({ class: 'pair', onclick: () => book.setTool('scale') }, phrase('scale-draw'));
    this.level = textField({
      label: NAMES['plane-offset'],
      unit: phrase('level-unit'),
      figures: true,
      set: set('scale/plane-offset', NAMES['plane-offset']),
    });
    this.thick = button(
      { class: 'pair', onclick: () => set('scale/plane-offset', NAMES['plane-offset'])('thickness', this.owner) },
      phrase('scale-thick'),
    );
    this.picture = levelPicture();
    this.levelSays = make('p', { class: 'help' });
    this.distance = textField({
      label: NAMES['scale/camera-distance'],
      unit: phrase('distance-unit'),
      mode: 'decimal',
      set: set('scale/camera-distance', phrase('distance-says')),
      help: phrase('distance-help'),
    });
    this.shape = choiceField({
      label: NAMES.shape,
      choices: ['flat', 'curved'].map((shape) => [shape, phrase(`shape-${shape}`)]),
      set: set('shape', NAMES.shape),
    });
    this.own = make('div', {}, this.says, this.draw, this.draft);
    this.node = make(
      'section',
      { class: 'scale-words' },
      make('h4', {}, phrase('scale-title')),
      this.own,
      this.level.node,
      make('div', { class: 'level' }, this.picture.node, make('div', {}, this.levelSays, this.thick)),
      this.distance.node,
      this.shape.node,
    );
    this.buildDraft();
    book.addEventListener('scale-draft', () => this.showDraft());
    book.addEventListener('tool', () => this.showDraft());
  }

  buildDraft() {
    this.method = choiceField({
      label: phrase('scale-by'),
      choices: METHODS.map((method) => [method, phrase(`scale-${method}`)]),
      loose: false,
      set: (method) => hands.bench.scale.setMethod(method),
    });
    this.asks = make('p', { class: 'soft' });
    const change = (key) => (value) => hands.bench.scale.size(key, value ?? '');
    this.numbers = Object.fromEntries(
      Object.entries(NUMBERS).map(([method, rows]) => [
        method,
        rows.map((key) => [
          key,
          textField({ label: phrase(`scale-${key}`), unit: phrase(`scale-${key}-unit`), mode: 'decimal', set: change(key) }),
        ]),
      ]),
    );
    this.shown = make('p', { class: 'figures scale-shown', 'aria-live': 'polite' });
    this.use = button({ class: 'strong', onclick: () => hands.bench.scale.save() }, phrase('scale-set-this'));
    const leave = () => {
      hands.bench.scale.giveUp();
      book.setTool('hand');
    };
    this.draft.append(
      this.method.node,
      this.asks,
      ...Object.values(this.numbers)
        .flat()
        .map(([, field]) => field.node),
      this.shown,
      make('div', { class: 'acts' }, this.use, button({ class: 'quiet', onclick: leave }, phrase('leave-it'))),
    );
    this.draft.addEventListener('keydown', (event) => {
      if (event.key !== 'Enter' || event.target.tagName !== 'INPUT' || event.target.type === 'radio') return;
      event.target.dispatchEvent(new Event('change')); // what was just typed belongs to it
      if (book.scaleDraft?.ready) hands.bench.scale.save();
    });
  }

  /** The number that is still to be told, else the first. */
  focus() {
    const rows = this.numbers[book.scaleDraft.method].map(([, field]) => field);
    (rows.find(({ input }) => input.value === '') ?? rows[0]).focus();
  }

  showDraft() {
    const isDrawing = book.tool === 'scale';
    this.draft.hidden = !isDrawing;
    this.draw.hidden = isDrawing;
    const draft = book.scaleDraft ?? {};
    this.method.show(draft.method, null);
    this.asks.textContent = phrase(draft.method ? `scale-asks-${draft.method}` : 'scale-asks');
    for (const [method, rows] of Object.entries(this.numbers))
      for (const [key, field] of rows) {
        field.node.hidden = method !== draft.method;
        field.show(draft.sizes?.[key], method);
      }
    this.shown.textContent = draft.scale_shown ?? draft.why ?? '';
    this.shown.classList.toggle('owes', !draft.scale_shown);
    this.use.disabled = !draft.ready;
  }

  show(photos, owner, value) {
    const [photo] = photos;
    this.owner = owner;
    this.own.hidden = photos.length > 1;
    fill(this.says, photo.scale_shown ?? phrase(photo.why_shown ? 'no-scale-is-why' : 'no-scale-is', { why: photo.why_shown }));
    const level = value('scale/plane-offset');
    this.level.show(level, owner);
    this.picture.show(level);
    this.levelSays.textContent = levelWords(level);
    this.distance.show(value('scale/camera-distance'), owner);
    this.shape.show(value('shape') ?? (photos.length > 1 ? null : 'flat'), owner);
    this.showDraft();
  }
}
