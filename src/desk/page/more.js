// The words that few marks need: private, its own level, its card.

import { book } from './book.js';
import { selectField, textField, tickField } from './fields.js';
import { make } from './make.js';
import { levelPicture } from './level.js';

/** The cards that a photograph is scaled by; of several a mark may choose. */
export const cardsOf = ({ words }) => [words['scale/tags'] ?? []].flat();

export class MoreWords {
  constructor(edit) {
    this.private_ = tickField({
      label: 'private: masked wherever it must not be seen',
      set: edit('private', 'private'),
    });
    this.level = textField({
      label: 'level',
      mode: 'text',
      unit: 'mm nearer than the card',
      set: edit('plane-offset', 'level'),
      help: 'Only where this place stands at another level than the rest of the face.',
    });
    this.picture = levelPicture();
    this.card = selectField({ label: 'card', choices: [], set: edit('card', 'card') });
    this.node = make('div', {}, this.private_.node, this.level.node, this.picture.node, this.card.node);
  }

  show({ words, kind }, owner) {
    this.private_.show(
      words.private,
      owner,
      kind === 'area' ? '' : 'Only an outline can be private: draw an area round it.',
    );
    this.level.show(words['plane-offset'], owner);
    this.picture.show(words['plane-offset']);
    this.picture.node.toggleAttribute('hidden', !words['plane-offset']);
    const cards = cardsOf(book.photo);
    this.card.node.hidden = cards.length < 2;
    this.card.offer([[null, 'the nearest'], ...cards.map((name) => [name, name])]);
    this.card.show(words.card, owner);
  }
}
