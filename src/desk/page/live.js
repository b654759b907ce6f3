// The size of what is being drawn, asked of the server while it is drawn: one question on its way at
// a time, and always the newest. The numbers are the server's; none is made here.
import { plainly } from './tell.js';
import { post } from './wire.js';

const PATIENCE_MS = 400; // what is on its way is given up when something newer has waited so long

/** Runs the newest of what it is given, one at a time, so that a drag does not flood the server. */
export class Newest {
  #waiting = null;
  #running = null; // AbortController of the question on its way

  /** `ask`: (signal) => Promise; `done(answer)` and `failed(error)` only if nothing newer was asked. */
  run(ask, done, failed = () => {}) {
    this.#waiting = { ask, done, failed };
    const running = this.#running;
    if (!running) this.#next();
    else setTimeout(() => { if (this.#waiting) running.abort(); }, PATIENCE_MS);
  }

  /** What is on its way is no longer wanted, nor what waits behind it. */
  forget() {
    this.#waiting = null;
    this.#running?.abort();
  }

  async #next() {
    while (this.#waiting) {
      const { ask, done, failed } = this.#waiting;
      this.#waiting = null;
      this.#running = new AbortController();
      const { signal } = this.#running;
      const [answer, error] = await ask(signal).then((a) => [a, null], (e) => [null, e]);
      if (this.#waiting || signal.aborted) continue;
      if (error) failed(error);
      else done(answer);
    }
    this.#running = null;
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
export async function askSize(photo, kind, words) {
  const size = await post(`/photo/${photo}/size`, { mark: { kind, words } });
  return { ...size, why: size.why && plainly(size.why) };
}
