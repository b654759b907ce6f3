// What the page's modules find in a browser, in little: a keep in memory and a server that can be
// told to be gone, to have been written by somebody else, or to refuse.
import { readFileSync } from 'node:fs';

/** The phrases of the page in a language, as the server lays them into it. */
export function phrasesOf(language) {
  const text = readFileSync(new URL(`../../styles/words/${language}.yaml`, import.meta.url), 'utf8');
  return Object.fromEntries([...text.matchAll(/^  desk-([a-z0-9-]+): "(.*)"$/gm)].map(([, key, words]) => [key, words.replaceAll('\\"', '"')]));
}

const MONTHS = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October', 'November', 'December'];
const words = { language: 'en', decimal: '.', date: '{day} {month} {year}', months: MONTHS, phrases: phrasesOf('en') };
globalThis.document = { querySelector: (selector) => (selector === '#words' ? { textContent: JSON.stringify(words) } : { content: 'first key' }) };

export class FakeKeep {
  values = new Map();
  async get(key) { return structuredClone(this.values.get(key)); }
  async put(key, value) { this.values.set(key, structuredClone(value)); }
  async remove(key) { this.values.delete(key); }
  async keys(prefix) { return [...this.values.keys()].filter((key) => key.startsWith(prefix)).sort(); }
  async removeUnder(prefix) { for (const key of await this.keys(prefix)) this.values.delete(key); }
}

/** Serves photographs of {words, marks} and edits of them, by the rules of the real one. */
export class FakeServer {
  constructor(photos, apply) {
    this.photos = new Map(photos.map((photo) => [photo.id, { tag: 'tag0', ...photo }]));
    this.apply = apply;
    this.isGone = false;
    this.fails = 0; // a status other than a refusal's, while it lasts
    this.losesAnswers = 0;
    this.refuses = () => null;
    this.asked = [];
    globalThis.fetch = (path, options) => this.answer(path, options);
  }

  static json(status, body) {
    return { status, ok: status < 300, json: async () => structuredClone(body) };
  }

  write(id, edits) {
    const photo = this.apply(this.photos.get(id), edits);
    this.photos.set(id, { ...photo, tag: `tag${Number(photo.tag.slice(3)) + 1}` });
    return this.photos.get(id);
  }

  async answer(path, { headers = {}, body } = {}) {
    if (this.isGone) throw new TypeError('no route');
    this.asked.push(path);
    const [, , id, verb] = path.split('/');
    if (verb !== 'edit') return FakeServer.json(200, this.photos.get(id));
    if (this.fails) return FakeServer.json(this.fails, { says: 'not now' });
    const { edits } = JSON.parse(body);
    const photo = this.photos.get(id);
    if (headers['If-Match'] !== `"${photo.tag}"`) return FakeServer.json(412, { says: 'changed', photo });
    const refusal = this.refuses(edits);
    if (refusal) return FakeServer.json(422, refusal);
    const written = this.write(id, edits);
    if (this.losesAnswers-- > 0) throw new TypeError('cut off');
    return FakeServer.json(200, written);
  }
}

/** Resolves with the detail of the next event of that name. */
export function once(target, name) {
  return new Promise((resolve) => {
    target.addEventListener(name, ({ detail }) => resolve(detail), { once: true });
  });
}
