// The way back, photograph by photograph and without end: every act with its inverse, kept by the
// browser so that a reload changes nothing. An act is {edits, inverse, says}. Acts behind `at` can
// be undone, acts from `at` on done again; a new act cuts those off. What was done to several
// photographs at once stands in the history of each as one act, told by its `joint`; `others` are
// the other photographs. Where it was done on one photograph and written in another, its own edits
// are none.

const FORGET_AFTER_MS = 30 * 24 * 3600 * 1000;
const DIGITS = 9; // of an act's number in its key, so that keys sort as the acts came

const inDirection = (act, direction) => ({ ...act, edits: direction === 'back' ? act.inverse : act.edits });

export class History {
  /** `place`: whose history it is, unique to the volume, the window and the photograph. */
  constructor(keep, place) {
    this.keep = keep;
    this.head = `history-of/${place}`;
    this.prefix = `history/${place}/`;
    this.acts = [];
    this.at = 0;
  }

  keyOf(i) { return this.prefix + String(i).padStart(DIGITS, '0'); }

  async load() {
    const head = await this.keep.get(this.head);
    for (let i = 0; i < (head?.length ?? 0); i++) this.acts.push(await this.keep.get(this.keyOf(i)));
    this.at = head?.at ?? 0;
    return this;
  }

  async writeHead() {
    await this.keep.put(this.head, { at: this.at, length: this.acts.length, when: Date.now() });
  }

  async add(act) {
    this.acts.length = this.at;
    this.acts.push(act);
    this.at += 1;
    await Promise.all([this.keep.put(this.keyOf(this.at - 1), act), this.writeHead()]); // written in this order
  }

  /** The act that would be undone, or null. */
  peek() { return this.acts[this.at - 1] ?? null; }

  /** What `back` or `forth` would give: {edits, says, joint, others}, or null. */
  next(direction) {
    const act = this.acts[direction === 'back' ? this.at - 1 : this.at];
    return act ? inDirection(act, direction) : null;
  }

  /** Every act speaks of its marks by their new names, at once: one that comes while they are being
   * written has its own already. */
  async rename(rename) {
    const acts = [...this.acts];
    for (const act of acts) Object.assign(act, { edits: rename(act.edits), inverse: rename(act.inverse) });
    for (const [i, act] of acts.entries()) if (this.acts[i] === act) await this.keep.put(this.keyOf(i), act);
  }

  /** The last act that `isIt` tells did more: it is undone and done again with the rest of it. */
  async amend(isIt, edits, inverse) {
    const i = this.acts.slice(0, this.at).findLastIndex(isIt);
    if (i < 0) return;
    const act = this.acts[i];
    Object.assign(act, { edits: [...act.edits, ...edits], inverse: [...inverse, ...act.inverse] });
    await this.keep.put(this.keyOf(i), act);
  }

  /** The edits that take the last act back, or null; with `joint` only where it is that act. Which
   * act that is, is settled before anything is waited for: the key may be pressed again meanwhile. */
  back(joint) { return this.step('back', -1, joint); }
  forth(joint) { return this.step('forth', 1, joint); }

  async step(direction, by, joint) {
    const act = this.acts[direction === 'back' ? this.at - 1 : this.at];
    if (!act || (joint !== undefined && act.joint !== joint)) return null;
    this.at += by;
    await this.writeHead();
    return inDirection(act, direction); // by the names that it has now
  }

  /** An act that the server would not take is none, nor is what stands for it in another history. */
  async drop(act) {
    const i = this.acts.findIndex((one) => one === act || (act.joint && one.joint === act.joint && one.edits.length === 0));
    if (i < 0) return;
    this.acts.splice(i, 1);
    if (i < this.at) this.at -= 1;
    for (let k = i; k < this.acts.length; k++) await this.keep.put(this.keyOf(k), this.acts[k]);
    await this.writeHead();
  }

  /** Marks of acts that could come back: their numbers are not given again. */
  marks() {
    return this.acts.flatMap((act) => act.edits.map((edit) => edit.mark)).filter((id) => id !== undefined);
  }
}

/** Forgets what nobody went back to for a month. */
export async function forgetOld(keep) {
  for (const head of await keep.keys('history-of/')) {
    const { when } = await keep.get(head) ?? {};
    if (Date.now() - (when ?? 0) < FORGET_AFTER_MS) continue;
    await keep.removeUnder(`history/${head.slice('history-of/'.length)}/`);
    await keep.remove(head);
  }
}
