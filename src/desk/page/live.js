// The size of what is being drawn, asked of the server while it is drawn: one question on its way at
// a time, and always the newest. The numbers are the server's; none is made here.
import { post } from './wire.js';

/** Runs the newest of what it is given, one at a time. */
export class Newest {
  #waiting = null;
  #isBusy = false;

  /** `ask`: () => Promise; `done(answer)` and `failed(error)` only if nothing newer was asked. */
  run(ask, done, failed = () => {}) {
    this.#waiting = { ask, done, failed };
    if (!this.#isBusy) this.#next();
  }

  /** What is on its way is no longer wanted. */
  forget() { this.#waiting = { ask: null }; }

  async #next() {
    this.#isBusy = true;
    while (this.#waiting) {
      const now = this.#waiting;
      this.#waiting = null;
      if (!now.ask) break;
      const [answer, error] = await now.ask().then((a) => [a, null], (e) => [null, e]);
      if (this.#waiting) continue;
      if (error) now.failed(error);
      else now.done(answer);
    }
    this.#waiting = null;
    this.#isBusy = false;
  }
}

const NO_SIZE = { measure: null, shown: null, shown_more: null, shown_share: null, why: null };

/** Puts drafts into the book, with their sizes as they come. */
export class Live {
  #newest = new Newest();

  constructor(book) { this.book = book; }

  /** `draft`: {kind, points, holes, mark, n, ...}; `words`: the mark's, as they would be written. */
  show(draft, words) {
    const { book } = this;
    const last = book.draft;
    const kept = last && last.kind === draft.kind && words
      ? { measure: last.measure, shown: last.shown, shown_more: last.shown_more, shown_share: last.shown_share, why: last.why } : NO_SIZE;
    book.setDraft({ ...NO_SIZE, ...kept, ...draft });
    if (!words) return this.#newest.forget();
    const { id } = book.photo;
    return this.#newest.run(() => askSize(id, draft.kind, words), (size) => {
      if (book.draft && book.photo.id === id) book.setDraft({ ...book.draft, ...size });
    });
  }

  clear() {
    this.#newest.forget();
    if (this.book.draft) this.book.setDraft(null);
  }
}

/** {measure, shown, shown_more, shown_share, why} of a mark that is not saved yet. */
export function askSize(photo, kind, words) {
  return post(`/photo/${photo}/size`, { mark: { kind, words } });
}
