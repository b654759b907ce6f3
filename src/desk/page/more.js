// The words that few marks need: private, its own level, its card.

import { book } from './book.js';
import { selectField, textField, tickField } from './fields.js';
import { make } from './make.js';
import { levelPicture } from './level.js';
import { phrase } from './phrases.js';
import { NAMES } from './tell.js';

/** The cards that a photograph is scaled by; of several a mark may choose. */
export const cardsOf = ({ words }) => [words['scale/tags'] ?? []].flat();

export class MoreWords {
  constructor(edit) {
    this.private_ = tickField({
      label: phrase('private-tick'),
      set: edit('private', NAMES.private),
    });
    this.level = textField({
      label: NAMES['plane-offset'],
      figures: true,
      unit: phrase('level-unit'),
      set: edit('plane-offset', NAMES['plane-offset']),
      help: phrase('level-help'),
    });
    this.picture = levelPicture();
    this.card = selectField({ label: NAMES.card, choices: [], set: edit('card', NAMES.card) });
    this.node = make('div', {}, this.private_.node, this.level.node, this.picture.node, this.card.node);
  }

  show({ words, kind }, owner) {
    this.private_.show(
      words.private,
      owner,
      kind === 'area' ? '' : phrase('private-area'),
    );
    this.level.show(words['plane-offset'], owner);
    this.picture.show(words['plane-offset']);
    this.picture.node.toggleAttribute('hidden', !words['plane-offset']);
    const cards = cardsOf(book.photo);
    this.card.node.hidden = cards.length < 2;
    this.card.offer([[null, phrase('card-nearest')], ...cards.map((name) => [name, name])]);
    this.card.show(words.card, owner);
  }
}
