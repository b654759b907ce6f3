// The photograph's own outlines on the slip: a row for each, drawn, moved and taken away from there.
import { book } from './book.js';
import { hands } from './hands.js';
import { button, fill, make } from './make.js';
import { OWN, ownOf, pointsTool } from './own.js';
import { capital } from './tell.js';

/** Takes a tool into the hand, and the hand to the photograph. */
function take(tool) {
  book.setTool(tool);
  hands.bench.focus();
}

function takeAway(key) {
  book.edit([{ key, value: null }], { says: `${OWN[key].name} taken away` });
  book.say(`${capital(OWN[key].name)} is taken away; undo brings it back.`);
}

const inHand = (key) => ownOf(book.tool) === key;

/** Whether it is drawn, and how large the face is as the server measures it. */
function stateOf(photo, key) {
  if (book.tool === key) return `${OWN[key].asks}; the first again closes it.`;
  if (!photo.words[key]) return OWN[key].help;
  if (key !== 'surface') return 'Outlined.';
  if (photo.surface_shown) return photo.surface_shown;
  if (photo.scaled && book.queue.holds(photo.id)) return 'Outlined; being measured.';
  return `Outlined, without size or shares${photo.why ? ` (${photo.why})` : ''}.`;
}

function actsOf(photo, key) {
  const act = (words, run) => button({ class: 'pair', onclick: run }, words);
  if (inHand(key)) return [act(book.tool === key ? 'Leave it' : 'Done', () => take('hand'))];
  if (!photo.words[key]) return [act('Outline it', () => take(key))];
  return [
    act('Move its points', () => take(pointsTool(key))),
    act('Outline again', () => take(key)),
    act('Take away', () => takeAway(key)),
  ];
}

export class OwnWords {
  constructor() {
    this.photos = [];
    this.rows = Object.keys(OWN).map((key) => [key, make('p'), make('div', { class: 'own-acts' })]);
    this.node = make(
      'section',
      { class: 'own-words' },
      make('h4', {}, 'Outlines'),
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
