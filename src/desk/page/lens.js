// What lies under a finger or a pen, larger, beside it and never under it. It draws what the
// sheet shows, the first sight and the tiles that are there, and over it finer tiles as they come. It
// stands where it covers nothing, or least, of what is being drawn.
import { FineTiles } from './fine.js';

const SIZE = 132;
const GAP = 34; // from the finger to the lens
const LARGER = 3;
const RING = 30.5; // round a point that draws the pen
const RIM = 4; // of the sheet, that it keeps free
/** Above the hand and to the left, where a right hand does not cover it, if that can be had. */
const SIDES = [[-1, -1], [1, -1], [-1, 1], [1, 1]];
const STEP = 24; // along what is drawn

/** Places along a path, no further apart than STEP. */
function along(path) {
  return path.flatMap((p, i) => {
    const q = path[i + 1] ?? p;
    const n = Math.max(1, Math.ceil(Math.hypot(q.x - p.x, q.y - p.y) / STEP));
    return Array.from({ length: n }, (_, k) => ({ x: p.x + ((q.x - p.x) * k) / n, y: p.y + ((q.y - p.y) * k) / n }));
  });
}

/** Where the lens stands, {left, top, side}: of `size` the sheet, `side` the one it stood on. `drawn`: on the screen. Pure. */
export function standsAt(finger, size, drawn, side = 0) {
  const from = (v, by) => v + by * GAP - (by < 0 ? SIZE : 0);
  const fits = (at, room) => at >= RIM && at + SIZE <= room - RIM;
  const places = SIDES.map(([dx, dy], i) => ({ left: from(finger.x, dx), top: from(finger.y, dy), side: i }))
    .filter(({ left, top }) => fits(left, size.width) && fits(top, size.height));
  const dots = along(drawn);
  const covered = ({ left, top }) => dots.filter(({ x, y }) => x > left && x < left + SIZE && y > top && y < top + SIZE).length;
  const counts = new Map(places.map((place) => [place, covered(place)]));
  const same = places.find((place) => place.side === side);
  if (same && counts.get(same) === 0) return same; // it does not hop about
  const inside = (v, room) => Math.max(RIM, Math.min(room - SIZE - RIM, v));
  return places.reduce((best, place) => (best && counts.get(best) <= counts.get(place) ? best : place), null)
    ?? { left: inside(from(finger.x, -1), size.width), top: inside(finger.y - SIZE / 2, size.height), side };
}

export class Lens {
  #fine = new FineTiles();

  constructor() {
    this.isOn = true;
    this.canvas = document.createElement('canvas');
    this.canvas.className = 'lens';
    this.canvas.hidden = true;
    this.canvas.setAttribute('aria-hidden', 'true');
  }

  /**
   * `p`: of the photograph, in the middle; `finger`: of the sheet, where the hand is; `drawn`: a path of the
   * photograph; `isDrawn`: a point that is there has drawn the pen, which a finger hides.
   */
  show(p, finger, sheet, { drawn, isDrawn }) {
    if (!this.isOn) return;
    if (this.canvas.parentNode !== sheet.element) sheet.element.append(this.canvas);
    this.canvas.hidden = false;
    const { left, top, side } = standsAt(finger, sheet.size, drawn.map((q) => sheet.toScreen(q)), this.side);
    this.side = side;
    this.canvas.style.transform = `translate(${Math.round(left)}px, ${Math.round(top)}px)`;
    this.next = { p, sheet, isDrawn };
    this.#soon();
  }

  #soon() {
    this.frame ??= requestAnimationFrame(() => {
      this.frame = null;
      if (!this.canvas.hidden) this.#draw(this.next);
    });
  }

  hide() {
    this.canvas.hidden = true;
    this.side = 0;
  }

  #draw({ p, sheet, isDrawn }) {
    const dots = window.devicePixelRatio || 1;
    this.canvas.width = SIZE * dots;
    this.canvas.height = SIZE * dots;
    const pen = this.canvas.getContext('2d');
    const scale = sheet.view.scale * LARGER;
    pen.fillStyle = getComputedStyle(sheet.element).backgroundColor;
    pen.fillRect(0, 0, this.canvas.width, this.canvas.height);
    pen.setTransform(scale * dots, 0, 0, scale * dots, (SIZE / 2 - p.x * scale) * dots, (SIZE / 2 - p.y * scale) * dots);
    pen.imageSmoothingEnabled = scale < 3;
    const pieces = [...sheet.pieces(), ...this.#finePieces(p, scale * dots, sheet)];
    for (const { image, x, y, width, height } of pieces) pen.drawImage(image, x, y, width, height);
    pen.setTransform(dots, 0, 0, dots, 0, 0);
    this.#cross(pen, isDrawn);
  }

  #finePieces(p, scale, { fineness }) {
    const reach = ((SIZE / 2) * (window.devicePixelRatio || 1)) / scale;
    return fineness ? this.#fine.round(p, reach, scale, fineness, () => this.#soon()) : [];
  }

  #cross(pen, isRinged) {
    const [c, from, to] = [SIZE / 2, 5, 20];
    for (const [width, ink] of [[3.5, '#ffffff'], [1.4, '#1c1b19']]) {
      pen.lineWidth = width;
      pen.strokeStyle = ink;
      pen.beginPath();
      for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
        pen.moveTo(c + dx * from, c + dy * from);
        pen.lineTo(c + dx * to, c + dy * to);
      }
      if (isRinged) {
        pen.moveTo(c + RING, c);
        pen.arc(c, c, RING, 0, 2 * Math.PI);
      }
      pen.stroke();
    }
  }
}
