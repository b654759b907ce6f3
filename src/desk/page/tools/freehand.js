// Freehand: the pen's own trail, for an area or a line. It is saved as it was drawn, at once; then the
// server thins it to what the eye sees at this zoom, says to what tolerance, and that is saved as part
// of the same act. A trail that crosses itself is no outline: all of it lies there to be mended.
import { clampInto, findCrossing, formatPoints, lengthOf, parsePoints, trimmed, withoutCrowd } from '../points.js';
import { figure, phrase } from '../phrases.js';
import { worstHand } from '../steady.js';
import { post } from '../wire.js';

const SEEN = 0.75; // pixels of the screen: no eye sees less
const SHORTEST = 12; // pixels of the screen: less is a slip of the pen
const OVERSHOT = 24; // pixels of the screen: a hand that closes a ring goes this far beyond

export class FreehandTool {
  constructor(bench) {
    this.bench = bench;
    this.trail = null;
    this.wantsTrail = true; // every place the pen was at, not only one for each frame
  }

  get isRing() { return this.bench.book.tool === 'area'; }
  get corners() { return this.bench.tools[this.bench.book.tool]; } // the tool for the same, corner by corner

  actions() { return this.corners.beginnings(); }
  key(event) { return this.corners.firstKey(event); }
  says() { return phrase(this.isRing ? 'freehand-round' : 'freehand-along'); }

  take(at) {
    if (at.sheet !== this.bench.large) return false;
    this.trail = [];
    this.move(at);
    return 'drag';
  }

  move(at) {
    this.trail.push({ ...clampInto(at, this.bench.book.photo), hand: at.hand });
    this.#show();
  }

  up(at) {
    this.move(at);
    const { scale } = this.bench.large.view;
    const trail = withoutCrowd(this.trail, 1 / scale);
    this.drop();
    if (lengthOf(trail) * scale < SHORTEST) return void this.bench.notice(phrase('freehand-lift'));
    const { path, isTrimmed, crossing } = this.isRing ? trimmed(trail, { ends: OVERSHOT / scale, loop: SHORTEST / scale }) : { path: trail };
    return crossing ? this.#layDown(path, SEEN / scale) : this.#keep(path, SEEN / scale, isTrimmed);
  }

  drop() {
    this.trail = null;
    this.bench.live.clear();
    this.bench.touchSketch();
  }

  drawn() { return this.trail ?? []; }

  leave() { this.trail = null; }

  /** {points, within}, or null while the server is out of reach. */
  #thin(photo, points, closed, tolerance) {
    return post(`/photo/${photo}/simplify`, { points, closed, tolerance: Number(tolerance.toFixed(2)) }).catch(() => null);
  }

  async #keep(trail, tolerance, isTrimmed) {
    const { book } = this.bench;
    const closed = this.isRing;
    const key = closed ? 'outline' : 'line';
    const drawn = formatPoints(trail);
    const photo = book.photo.id;
    const mark = await this.bench.addMark(closed ? 'area' : 'line', { [key]: drawn }, 0, worstHand(trail));
    const thin = await this.#thin(photo, drawn, closed, tolerance);
    const isStill = book.photo.id === photo && book.photo.marks.find(({ id }) => id === mark)?.words[key] === drawn;
    if (!thin) this.bench.notice(phrase(closed ? 'closed-area' : 'drawn-line'));
    if (!thin || !isStill || (closed && findCrossing(parsePoints(thin.points), true))) return;
    await book.amend({ mark, key, value: thin.points }, drawn);
    this.bench.notice([phrase('freehand-within', { points: phrase('points', { n: parsePoints(thin.points).length }), within: figure(thin.within) }),
      isTrimmed && phrase('freehand-trimmed')].filter(Boolean).join('; '));
  }

  /** It is kept whole at once, with corner after corner to be moved, and with fewer of them as soon as they are told. */
  async #layDown(trail, tolerance) {
    const { bench, corners } = this;
    const photo = bench.book.photo.id;
    const isFirst = corners.path.layBack(photo, trail);
    bench.setFreehand(false);
    const thin = isFirst && await this.#thin(photo, formatPoints(trail), true, tolerance);
    const hand = worstHand(trail);
    if (thin) corners.path.layThinner(photo, trail, parsePoints(thin.points).map((p) => ({ ...p, hand })));
  }

  #show() {
    this.bench.touchSketch();
    this.bench.live.show({ kind: this.isRing ? 'area' : 'line', points: '', holes: [], n: this.trail.length }, null);
  }

  draw(brush, sheet) {
    if (!this.trail || sheet !== this.bench.large) return;
    brush.path(this.trail);
    if (this.isRing) brush.path([this.trail.at(-1), this.trail[0]], { dash: [2, 5] });
  }
}
