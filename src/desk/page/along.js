// The small photograph moves along with the large one: by ties where there are three or more, else in
// proportion. Moved by itself, it goes along from there.
import { follower } from './view.js';

export class Along {
  /** `ties`: () => [{from, to}], points of the large and of the small photograph */
  constructor(large, small, ties) {
    Object.assign(this, { large, small, ties, apart: null });
    large.addEventListener('view', () => this.follow());
    small.addEventListener('view', ({ detail }) => { if (detail.by === 'user') this.#setApart(); });
    small.addEventListener('size', () => this.follow());
    for (const sheet of [large, small]) sheet.addEventListener('photo', () => { this.apart = null; });
  }

  /** Where the small photograph is to be looked at, before what a hand has set apart. */
  #fellowView() {
    const { large, small } = this;
    const { map, stretch } = follower(large.photo, small.photo, this.ties());
    const plain = small.photo.width / large.photo.width;
    const whole = small.fitScale / large.fitScale; // fitted ones stay fitted together
    return { at: map(large.centre), scale: large.view.scale * whole * (plain / stretch) };
  }

  follow() {
    if (!this.large.photo || !this.small.photo) return;
    const { at, scale } = this.#fellowView();
    const { dx, dy, factor } = this.apart ?? { dx: 0, dy: 0, factor: 1 };
    this.small.look({ x: at.x + dx, y: at.y + dy }, scale * factor, 'page');
  }

  #setApart() {
    if (!this.large.photo) return;
    const { at, scale } = this.#fellowView();
    const { centre, view } = this.small;
    this.apart = { dx: centre.x - at.x, dy: centre.y - at.y, factor: view.scale / scale };
  }

  /** Ties have changed: they count, not the hand. */
  forget() {
    this.apart = null;
    this.follow();
  }
}
