// A point: one touch.
import { phrase } from '../phrases.js';
import { clampInto, formatPoint } from '../points.js';

export class PointTool {
  constructor(bench) {
    this.bench = bench;
    this.pointer = null;
  }

  take(at) {
    if (at.sheet !== this.bench.large) return false;
    this.move(at);
    return 'click';
  }

  move(at) {
    this.pointer = this.bench.snap(at) ?? clampInto(at, this.bench.book.photo);
    this.bench.touchSketch();
  }

  up(at) {
    this.move(at);
    const point = formatPoint(this.pointer);
    this.drop();
    this.bench.addMark('point', { point }, 1);
  }

  drop() {
    this.pointer = null;
    this.bench.touchSketch();
  }

  says() { return phrase('touch-point'); }
  leave() { this.pointer = null; }
  aim() { return this.pointer; }

  draw(brush, sheet) {
    if (this.pointer && sheet === this.bench.large) brush.cross(this.pointer, 'aim');
  }
}
