// The photograph's own outlines on the slip: a row for each, drawn, moved and taken away from there.
import { book } from './book.js';
import { hands } from './hands.js';
import { button, fill, make } from './make.js';
import { OWN, ownOf, pointsTool } from './own.js';
import { phrase } from './phrases.js';

/** Takes a tool into the hand, and the hand to the photograph. */
function take(tool) {
  book.setTool(tool);
  hands.bench.focus();
}

function takeAway(key) {
  book.edit([{ key, value: null }], { says: phrase(`taken-away-${key}`) });
  book.say(phrase(`is-taken-away-${key}`));
}

const inHand = (key) => ownOf(book.tool) === key;

/** Whether it is drawn, and how large the face is as the server measures it. */
function stateOf(photo, key) {
  if (book.tool === key) return phrase('own-closes', { asks: OWN[key].asks });
  if (!photo.words[key]) return OWN[key].help;
  if (key !== 'surface') return phrase('own-outlined');
  if (photo.surface_shown) return photo.surface_shown;
  if (photo.scaled && book.queue.holds(photo.id)) return phrase('own-measuring');
  return phrase(photo.why_shown ? 'own-no-size-why' : 'own-no-size', { why: photo.why_shown });
}

function actsOf(photo, key) {
  const act = (words, run) => button({ class: 'pair', onclick: run }, words);
  if (inHand(key)) return [act(phrase(book.tool === key ? 'leave-it' : 'done'), () => take('hand'))];
  if (!photo.words[key]) return [act(phrase('own-outline-it'), () => take(key))];
  return [
    act(phrase('own-move'), () => take(pointsTool(key))),
    act(phrase('own-again'), () => take(key)),
    act(phrase('own-take-away'), () => takeAway(key)),
  ];
}

export class OwnWords {
  constructor() {
    this.photos = [];
    this.rows = Object.keys(OWN).map((key) => [key, make('p'), make('div', { class: 'own-acts' })]);
    this.node = make(
      'section',
      { class: 'own-words' },
      make('h4', {}, phrase('outlines')),
      this.rows.map(([key, says, acts]) =>
        make('div', { class: 'field', role: 'group', 'aria-label': OWN[key].name },
          make('span', { class: 'label', 'aria-hidden': 'true' }, OWN[key].label), says, acts)),
    );
    book.addEventListener('tool', () => this.show());
  }

  /** `photos`: those whose words are shown; of several each has its own outlines. */
  show(photos = this.photos ?? []) {
    this.photos = photos;
    this.node.hidden = photos.length !== 1;
    if (this.node.hidden) return;
    const [photo] = photos;
    for (const [key, says, acts] of this.rows) {
      says.className = photo.words[key] ? 'figures' : 'help';
      says.textContent = stateOf(photo, key);
      fill(acts, actsOf(photo, key));
    }
  }
}
