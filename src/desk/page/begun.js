// Paths that are begun and not ended, photograph by photograph: they wait while another tool or another
// photograph is in hand, and the browser keeps them over a reload.

export class Begun {
  #paths = new Map(); // photograph's ID -> points
  #asked = new Set();

  /** `name`: what is begun; `found` is called when an earlier one comes up. */
  constructor(book, name, found) {
    Object.assign(this, { book, name, found });
  }

  #key(photo) { return `begun/${this.book.place}/${this.book.window}/${photo}/${this.name}`; }

  /** The path begun on a photograph, [] where there is none. */
  get(photo) {
    if (!this.#asked.has(photo)) this.#lookUp(photo);
    return this.#paths.get(photo) ?? [];
  }

  async #lookUp(photo) {
    this.#asked.add(photo);
    const kept = await this.book.keep.get(this.#key(photo));
    if (!kept || this.#paths.has(photo)) return;
    this.#paths.set(photo, kept);
    this.found();
  }

  set(photo, path) {
    this.#asked.add(photo);
    if (path.length > 0) {
      this.#paths.set(photo, path);
      this.book.keep.put(this.#key(photo), path);
    } else {
      this.#paths.delete(photo);
      this.book.keep.remove(this.#key(photo));
    }
  }
}
