// Freehand: the pen's own trail, for an area or a line. It is saved as it was drawn, at once; then the
// server thins it to what the eye sees at this zoom, says to what tolerance, and that is saved too.
import { clampInto, findCrossing, formatPoints, lengthOf, parsePoints, withoutCrowd, withoutLoops } from '../points.js';
import { post } from '../wire.js';

const SEEN = 0.75; // pixels of the screen: no eye sees less
const SHORTEST = 12; // pixels of the screen: less is a slip of the pen

export class FreehandTool {
  constructor(bench) {
    this.bench = bench;
    this.trail = null;
    this.wantsTrail = true; // every place the pen was at, not only one for each frame
  }

  get isRing() { return this.bench.book.tool === 'area'; }

  actions() { return [this.bench.freehandSwitch()]; }
  key(event) { return this.bench.freehandKey(event); }
  says() { return this.isRing ? 'Draw round it' : 'Draw along it'; }

  take(at) {
    if (at.sheet !== this.bench.large) return false;
    this.trail = [];
    this.move(at);
    return 'drag';
  }

  move(at) {
    this.trail.push(clampInto(at, this.bench.book.photo));
    this.#show();
  }

  up(at) {
    this.move(at);
    const { scale } = this.bench.large.view;
    const trail = withoutCrowd(this.trail, 1 / scale);
    this.trail = null;
    this.bench.live.clear();
    this.bench.touchSketch();
    if (lengthOf(trail) * scale < SHORTEST) this.bench.notice('Draw without lifting the pen.');
    else this.#keep(trail, SEEN / scale);
  }

  drop() {
    this.trail = null;
    this.bench.live.clear();
    this.bench.touchSketch();
  }

  leave() { this.trail = null; }

  async #keep(trail, tolerance) {
    const { book } = this.bench;
    const closed = this.isRing;
    const key = closed ? 'outline' : 'line';
    const drawn = formatPoints(closed ? withoutLoops(trail) : trail);
    const photo = book.photo.id;
    const mark = await this.bench.addMark(closed ? 'area' : 'line', { [key]: drawn });
    const body = { points: drawn, closed, tolerance: Number(tolerance.toFixed(2)) };
    const thin = await post(`/photo/${photo}/simplify`, body).catch(() => null);
    const isStill = book.photo.id === photo && book.photo.marks.find(({ id }) => id === mark)?.words[key] === drawn;
    if (!thin || !isStill || (closed && findCrossing(parsePoints(thin.points), true))) return;
    const n = parsePoints(thin.points).length;
    await book.edit([{ mark, key, value: thin.points }], { says: 'thinned' });
    this.bench.notice(`${n} points, within ${Number(thin.tolerance).toFixed(1)} px of your hand`);
  }

  #show() {
    this.bench.touchSketch();
    this.bench.live.show({ kind: this.isRing ? 'area' : 'line', points: '', holes: [], n: this.trail.length, proposed: false }, null);
  }

  draw(brush, sheet) {
    if (!this.trail || sheet !== this.bench.large) return;
    brush.path(this.trail);
    if (this.isRing) brush.path([this.trail.at(-1), this.trail[0]], { dash: [2, 5] });
  }
}
