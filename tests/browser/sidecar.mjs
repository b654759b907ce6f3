// Reads a sidecar in tests: the YAML that our files use (mappings and lists by indentation, {...}
// and [...] in a line, quoted and plain scalars, comments), every scalar as text. What it does not
// know it refuses. It shares no code with the project's own reader, which is what it checks.

import { FRONT } from './bench.mjs';

class Flow {
  constructor(text) { Object.assign(this, { text, at: 0 }); }

  skip() { while (' \n'.includes(this.text[this.at] ?? 'x')) this.at += 1; }

  value() {
    this.skip();
    const first = this.text[this.at];
    if (first === '{') return this.mapping();
    if (first === '[') return this.list();
    return first === '"' || first === "'" ? this.quoted() : this.plain();
  }

  quoted() {
    const rest = this.text.slice(this.at);
    const double = /^"((?:[^"\\]|\\.)*)"/s.exec(rest);
    const [whole, inside] = double ?? /^'((?:[^']|'')*)'/s.exec(rest) ?? [];
    if (whole === undefined) throw new Error(`a quote without end: ${rest}`);
    this.at += whole.length;
    return double ? JSON.parse(`"${inside.replaceAll('\n', '\\n')}"`) : inside.replaceAll("''", "'");
  }

  plain() {
    const [found] = /^[^,\]}]*?(?=\s*(?:[,\]}]|: |$))/s.exec(this.text.slice(this.at));
    this.at += found.length;
    return found;
  }

  mapping() {
    const made = {};
    this.at += 1;
    for (this.skip(); this.text[this.at] !== '}'; this.skip()) {
      const key = this.value();
      this.skip();
      this.expect(':');
      made[key] = this.value();
      this.skip();
      if (this.text[this.at] !== '}') this.expect(',');
    }
    this.at += 1;
    return made;
  }

  list() {
    const made = [];
    this.at += 1;
    for (this.skip(); this.text[this.at] !== ']'; this.skip()) {
      made.push(this.value());
      this.skip();
      if (this.text[this.at] !== ']') this.expect(',');
    }
    this.at += 1;
    return made;
  }

  expect(sign) {
    if (this.text[this.at] !== sign) throw new Error(`${sign} was wanted at ${this.text.slice(this.at)}`);
    this.at += 1;
  }
}

/** A line without its comment. */
function bare(line) {
  const [found] = /^(?:[^"'#]|"(?:[^"\\]|\\.)*"|'[^']*'|(?<=\S)['#])*/.exec(line);
  return found.trimEnd();
}

function scalar(text) {
  if ('{["\''.includes(text[0])) return new Flow(text).value();
  return text;
}

const KEY = /^("[^"]*"|[^\s"'{[][^:]*):(?:\s+(.*))?$/;

class Block {
  constructor(text) {
    this.lines = text.split('\n').map(bare).filter((line) => line.trim() !== '')
      .map((line) => ({ depth: line.length - line.trimStart().length, text: line.trim() }));
    this.at = 0;
  }

  get line() { return this.lines[this.at]; }

  value(depth) {
    if (!this.line || this.line.depth < depth) return null;
    return this.line.text.startsWith('- ') ? this.list(this.line.depth) : this.mapping(this.line.depth);
  }

  list(depth) {
    const made = [];
    while (this.line?.depth === depth && this.line.text.startsWith('- ')) {
      const text = this.line.text.slice(2).trimStart();
      if (KEY.test(text)) {
        const inner = depth + this.line.text.length - text.length;
        this.lines[this.at] = { depth: inner, text };
        made.push(this.mapping(inner));
      } else {
        this.at += 1;
        made.push(scalar(text));
      }
    }
    return made;
  }

  mapping(depth) {
    const made = {};
    while (this.line?.depth === depth && !this.line.text.startsWith('- ')) {
      const [, key, text] = KEY.exec(this.line.text) ?? [];
      if (key === undefined) throw new Error(`no key: ${this.line.text}`);
      if (key in made) throw new Error(`${key} stands twice`);
      this.at += 1;
      // a list may stand as deep as its key
      const isList = this.line?.depth === depth && this.line.text.startsWith('- ');
      made[key] = text ? scalar(text) : this.value(isList ? depth : depth + 1);
    }
    if (this.line && this.line.depth > depth) throw new Error(`too deep: ${this.line.text}`);
    return made;
  }
}

export function readSidecar(text) { return new Block(text).value(0); }

/** "x,y x,y" as [[x, y], ...]. */
export function points(text) { return text.trim().split(/\s+/).map((pair) => pair.split(',').map(Number)); }

/** The marks of a photograph as its sidecar has them now. */
export function marksOf(volume, file = FRONT) { return readSidecar(volume.sidecar(file)).marks ?? []; }

export function markOf(volume, file, id) { return marksOf(volume, file).find((mark) => mark.id === id); }
