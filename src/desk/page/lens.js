// What lies under a finger or a pen, larger, beside it and never under it. It draws what the
// sheet shows, the first sight and the tiles that are there, and over it finer tiles as they come.
import { FineTiles } from './fine.js';

const SIZE = 132;
const GAP = 34; // from the finger to the lens
const LARGER = 3;

export class Lens {
  #fine = new FineTiles();

  constructor() {
    this.isOn = true;
    this.canvas = document.createElement('canvas');
    this.canvas.className = 'lens';
    this.canvas.hidden = true;
    this.canvas.setAttribute('aria-hidden', 'true');
  }

  /** `p`: of the photograph, in the middle; `finger`: of the sheet, where the hand is. */
  show(p, finger, sheet) {
    if (!this.isOn) return;
    if (this.canvas.parentNode !== sheet.element) sheet.element.append(this.canvas);
    this.canvas.hidden = false;
    this.#place(finger, sheet);
    this.next = { p, sheet };
    this.#soon();
  }

  #soon() {
    this.frame ??= requestAnimationFrame(() => {
      this.frame = null;
      if (!this.canvas.hidden) this.#draw(this.next);
    });
  }

  hide() { this.canvas.hidden = true; }

  /** Above the hand and to the left, where a right hand does not cover it; else where there is room. */
  #place({ x, y }, { size }) {
    const fits = (at, room) => at >= 4 && at + SIZE <= room - 4;
    const above = y - GAP - SIZE;
    const beside = [x - GAP - SIZE, x + GAP].find((at) => fits(at, size.width)) ?? 4;
    const level = fits(above, size.height) ? above : Math.min(size.height - SIZE - 4, Math.max(4, y - SIZE / 2));
    this.canvas.style.transform = `translate(${Math.round(beside)}px, ${Math.round(level)}px)`;
  }

  #draw({ p, sheet }) {
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
    this.#cross(pen);
  }

  #finePieces(p, scale, { fineness }) {
    const reach = ((SIZE / 2) * (window.devicePixelRatio || 1)) / scale;
    return fineness ? this.#fine.round(p, reach, scale, fineness, () => this.#soon()) : [];
  }

  #cross(pen) {
    const [c, from, to] = [SIZE / 2, 5, 20];
    for (const [width, ink] of [[3.5, '#ffffff'], [1.4, '#1c1b19']]) {
      pen.lineWidth = width;
      pen.strokeStyle = ink;
      pen.beginPath();
      for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
        pen.moveTo(c + dx * from, c + dy * from);
        pen.lineTo(c + dx * to, c + dy * to);
      }
      pen.stroke();
    }
  }
}
