// Fine tiles round one place, for the magnifier: the sheet shows coarser ones where the whole
// photograph is in view. A few are fetched at a time, for the newest place alone, and a few are kept.

const AT_ONCE = 4;
const KEPT = 12;

/** The tiles that cover a square of `reach` round `p`, the nearest first: [{x, y}]; `level`: {width, height}. */
export function tilesRound(p, reach, side, { width, height }) {
  const range = (at, size) => [Math.max(0, Math.floor((at - reach) / side)), Math.min(Math.ceil(size / side) - 1, Math.floor((at + reach) / side))];
  const [[left, right], [top, bottom]] = [range(p.x, width), range(p.y, height)];
  const tiles = [];
  for (let y = top; y <= bottom; y++) for (let x = left; x <= right; x++) tiles.push({ x, y });
  const far = ({ x, y }) => Math.hypot((x + 0.5) * side - p.x, (y + 0.5) * side - p.y);
  return tiles.sort((a, b) => far(a) - far(b)).slice(0, AT_ONCE);
}

export class FineTiles {
  #images = new Map(); // path -> {image, x, y, width, height} in pixels of the photograph, the one used last at the end

  /**
   * What is there round `p`; the rest is fetched, and `come` called when a piece of it is there.
   * `reach`: pixels of the photograph; `scale`: pixels of the screen for one of the photograph.
   */
  round(p, reach, scale, { id, levels, tile }, come) {
    const z = Math.max(0, Math.min(levels.length - 1, Math.floor(-Math.log2(scale))));
    const side = 2 ** z;
    const wanted = tilesRound({ x: p.x / side, y: p.y / side }, reach / side, tile, levels[z])
      .map(({ x, y }) => ({ x: x * tile * side, y: y * tile * side, side, path: `/photo/${id}/tile/${z}/${x}/${y}` }));
    this.#forget(new Set(wanted.map(({ path }) => path)));
    return wanted.map((place) => this.#piece(place, come)).filter(({ image }) => image.complete && image.naturalWidth > 0)
      .map(({ image, x, y, side: of }) => ({ image, x, y, width: image.naturalWidth * of, height: image.naturalHeight * of }));
  }

  #piece(place, come) {
    const piece = this.#images.get(place.path) ?? { ...place, image: new Image() };
    if (!piece.image.src) {
      piece.image.onload = come;
      piece.image.src = place.path;
    }
    this.#images.delete(place.path);
    this.#images.set(place.path, piece);
    return piece;
  }

  /** What is on its way and no longer wanted is not waited for; of what came, the last few stay. */
  #forget(wanted) {
    for (const [path, { image }] of this.#images) {
      const isOver = this.#images.size > KEPT || !image.complete || image.naturalWidth === 0;
      if (wanted.has(path) || !isOver) continue;
      image.onload = null;
      image.src = '';
      this.#images.delete(path);
    }
  }
}
