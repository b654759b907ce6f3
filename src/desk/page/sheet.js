// One photograph on the bench. Leaflet keeps its first sight and its tiles in place; where a point
// of the photograph lies is told by view.js alone, so that what is drawn is what is saved. Leaflet
// puts maps on whole pixels of the screen; here the picture must lie where the marks say, so both
// kinds of layer are placed by the sheet's own view.
import * as L from './leaflet.esm.js';
import { centreAfterZoom, centreOf, fitScale, keepInSight, toPhoto, toScreen, viewOf } from './view.js';
import { get, Refusal } from './wire.js';

const SIGHT_WIDTH = 1600;
const ASK_AGAIN_MS = 700;
const REST_MS = 90; // after the last movement, tiles that came into view are asked for
const LARGEST_SCALE = 32;
const CRISP_FROM = 2; // pixels of the screen for one of the photograph: from here pixels are shown as squares

const Tiles = L.GridLayer.extend({
  createTile({ x, y, z }, done) {
    const img = document.createElement('img');
    img.alt = '';
    img.draggable = false;
    img.onload = () => done(null, img);
    img.onerror = () => done(new Error('tile'), img);
    img.src = `/photo/${this.options.photo}/tile/${-z}/${x}/${y}`;
    return img;
  },
  /** The level that has at least a pixel for each one of the screen. */
  _clampZoom() {
    const wanted = Math.ceil(this._map.getZoom() + Math.log2(window.devicePixelRatio || 1) - 0.05);
    return Math.max(1 - this.options.levels.length, Math.min(0, wanted));
  },
  _setZoomTransform(level) {
    const { view } = this.options.sheet;
    const scale = view.scale * 2 ** -level.zoom;
    L.DomUtil.setTransform(level.el, level.origin.multiplyBy(scale).subtract([view.left, view.top]), scale);
  },
});

/** The tiles at the right and lower rim are cut to the picture; Leaflet would stretch them. */
function cutToPicture({ tile, coords, target }) {
  const { levels, tileSize } = target.options;
  const level = levels[-coords.z];
  tile.style.width = `${Math.min(tileSize, level.width - coords.x * tileSize)}px`;
  tile.style.height = `${Math.min(tileSize, level.height - coords.y * tileSize)}px`;
}

const Sight = L.ImageOverlay.extend({
  _reset() {
    const { photo: { width, height }, sheet: { view: { scale, left, top } } } = this.options;
    L.DomUtil.setTransform(this._image, L.point(-left, -top), 1);
    this._image.style.width = `${width * scale}px`;
    this._image.style.height = `${height * scale}px`;
  },
});

/** Where each photograph was looked at last, whichever sheet it lay on: {x, y, share} */
const looked = new Map();

/** Events: `view` whenever the picture has moved (detail {by}: the user's hand or the
 * page), `size` when the sheet has another, `photo`. */
export class Sheet extends EventTarget {
  /** @param {HTMLElement} element empty, sized by the page */
  constructor(element, name) {
    super();
    this.element = element;
    this.name = name;
    this.photo = null;
    this.view = { scale: 1, left: 0, top: 0 };
    this.ground = element.appendChild(document.createElement('div'));
    this.ground.className = 'sheet-ground';
    this.map = this.#makeMap();
    this.size = this.#measure();
    new ResizeObserver(() => this.#resized()).observe(element);
  }

  #makeMap() {
    const map = L.map(this.ground, {
      crs: L.extend({}, L.CRS.Simple, { transformation: L.transformation(1, 0, 1, 0) }),
      zoomControl: false, attributionControl: false, dragging: false, touchZoom: false, tap: false,
      scrollWheelZoom: false, doubleClickZoom: false, boxZoom: false, keyboard: false,
      zoomAnimation: false, fadeAnimation: false, zoomSnap: 0, minZoom: -20, maxZoom: 20, trackResize: false,
    });
    map.createPane('sight').style.zIndex = 100;
    map.getContainer().removeAttribute('tabindex');
    return map.setView([0, 0], 0);
  }

  #measure() {
    const { left, top } = this.element.getBoundingClientRect();
    const { clientWidth: width, clientHeight: height } = this.element;
    return { width: Math.max(1, width), height: Math.max(1, height), left, top, window: `${innerWidth} ${innerHeight}` };
  }

  /** What the page puts above a photograph (a band that says it is not saved) moves the sheet, and
   * never the photograph under the hand: it stays where it is on the screen. */
  #resized() {
    if (this.element.clientWidth === 0) return; // put away while a leaf lies here
    const was = this.size;
    const at = centreOf(this.view, was);
    const wasFit = this.photo && this.isFit();
    const now = this.size = this.#measure();
    this.map.invalidateSize({ animate: false, pan: false });
    if (!this.photo) return;
    const slid = { x: now.left - was.left, y: now.top - was.top };
    if (now.window === was.window && (slid.x !== 0 || slid.y !== 0))
      this.look(toPhoto(this.view, { x: now.width / 2 + slid.x, y: now.height / 2 + slid.y }), this.view.scale, 'page');
    else if (wasFit) this.fit('page');
    else this.look(at, this.view.scale, 'page');
    this.dispatchEvent(new CustomEvent('size'));
  }

  // ---- Which photograph ----

  /** Lays a photograph on the sheet, or takes it away; the same one with other marks moves nothing. */
  show(photo) {
    const isSame = photo?.id === this.photo?.id;
    this.photo = photo;
    if (isSame) return;
    this.map.eachLayer((layer) => layer.remove());
    this.tiles = null;
    if (photo) {
      this.#lay(photo);
      this.#lookAgain(photo);
    }
    this.dispatchEvent(new CustomEvent('photo'));
  }

  #lay(photo) {
    const bounds = [[0, 0], [photo.height, photo.width]];
    this.sight = new Sight(`/photo/${photo.id}/sight?w=${SIGHT_WIDTH}`, bounds, { pane: 'sight', photo, sheet: this, alt: '' });
    this.sight.addTo(this.map);
    this.#awaitTiles(photo.id);
  }

  /** Asks until the tiles are there. A photograph that the server refuses them for keeps its first sight. */
  async #awaitTiles(id) {
    for (;;) {
      const answer = await get(`/photo/${id}/tiles`).catch((error) => ({ ready: false, isRefused: error instanceof Refusal }));
      if (this.photo?.id !== id || answer.isRefused) return;
      if (answer.ready) return void this.#layTiles(id, answer);
      await new Promise((resolve) => { setTimeout(resolve, ASK_AGAIN_MS); });
    }
  }

  #layTiles(id, { tile, levels }) {
    this.tiles?.remove();
    this.tiles = new Tiles({ sheet: this, photo: id, levels, tileSize: tile, noWrap: true, minZoom: -20, maxZoom: 20,
      keepBuffer: 1, bounds: [[0, 0], [this.photo.height - 0.5, this.photo.width - 0.5]] });
    this.tiles.on('tileloadstart', cutToPicture);
    this.tiles.once('tileerror', ({ target }) => this.#layAgain(id, target));
    this.tiles.addTo(this.map);
  }

  /** A tile that does not come (damaged, the server gone): the first sight is seen in its place until they are there again. */
  async #layAgain(id, tiles) {
    await new Promise((resolve) => { setTimeout(resolve, ASK_AGAIN_MS); });
    if (this.tiles === tiles) this.#awaitTiles(id);
  }

  #lookAgain(photo) {
    const last = looked.get(photo.id);
    if (last) this.look(last, (Math.min(this.size.width, this.size.height) / last.share), 'page');
    else this.fit('page');
  }

  // ---- Where it is looked at ----

  toScreen(p) { return toScreen(this.view, p); }
  toPhoto(s) { return toPhoto(this.view, s); }
  get centre() { return centreOf(this.view, this.size); }
  get fitScale() { return fitScale(this.photo, this.size); }

  isFit() { return Math.abs(this.view.scale / this.fitScale - 1) < 1e-3; }

  /** Puts a place of the photograph in the middle of the sheet. */
  look(at, scale, by = 'user') {
    if (!this.photo) return;
    const least = Math.min(1, this.fitScale / 2);
    const bounded = Math.min(LARGEST_SCALE, Math.max(least, scale));
    const seen = keepInSight(at, this.photo);
    this.view = viewOf(seen, bounded, this.size);
    this.ground.classList.toggle('sheet-squares', bounded > CRISP_FROM);
    this.#moveMap();
    if (by === 'user') looked.set(this.photo.id,
      { ...seen, share: Math.min(this.size.width, this.size.height) / bounded });
    this.dispatchEvent(new CustomEvent('view', { detail: { by } }));
  }

  /** `pinch` makes Leaflet move what it has at once; the new tiles are asked for at rest. */
  #moveMap() {
    const { x, y } = centreOf(this.view, this.size);
    this.map._move(L.latLng(y, x), Math.log2(this.view.scale), { pinch: true });
    clearTimeout(this.resting);
    this.resting = setTimeout(() => this.map._moveEnd(true), REST_MS);
  }

  fit(by = 'user') {
    if (this.photo) this.look({ x: this.photo.width / 2, y: this.photo.height / 2 }, this.fitScale, by);
  }

  zoomAround(s, factor) {
    const least = Math.min(1, this.fitScale / 2);
    const scale = Math.min(LARGEST_SCALE, Math.max(least, this.view.scale * factor));
    this.look(centreAfterZoom(this.view, this.size, s, scale), scale);
  }

  /** One step in or out about the middle, or about `s`. */
  zoomStep(by, s = { x: this.size.width / 2, y: this.size.height / 2 }) {
    this.zoomAround(s, 2 ** (by / 2));
  }

  fullSize(s = { x: this.size.width / 2, y: this.size.height / 2 }) {
    this.look(centreAfterZoom(this.view, this.size, s, 1), 1);
  }

  panBy(dx, dy) {
    const { x, y } = this.centre;
    this.look({ x: x - dx / this.view.scale, y: y - dy / this.view.scale }, this.view.scale);
  }

  /** What tiles there are: {id, tile, levels}; null until they are built. */
  get fineness() {
    return this.tiles && { id: this.photo.id, tile: this.tiles.options.tileSize, levels: this.tiles.options.levels };
  }

  /** What is shown, coarse first: {image, x, y, width, height} in pixels of the photograph. */
  pieces() {
    const { width, height } = this.photo;
    const sight = this.sight.getElement();
    const whole = sight?.complete && sight.naturalWidth ? [{ image: sight, x: 0, y: 0, width, height }] : [];
    const tiles = Object.values(this.tiles?._tiles ?? {}).filter(({ el, loaded }) => loaded && el.naturalWidth);
    return [...whole, ...tiles.sort((a, b) => a.coords.z - b.coords.z).map(({ el, coords }) => {
      const side = 2 ** -coords.z;
      const step = this.tiles.options.tileSize * side;
      return { image: el, x: coords.x * step, y: coords.y * step,
        width: el.naturalWidth * side, height: el.naturalHeight * side };
    })];
  }

  /** Moves the picture so far that `s` of the screen is at least `rim` from the sheet's edge. */
  bringIn(s, rim) {
    const over = (v, size) => Math.max(0, v - (size - rim)) - Math.max(0, rim - v);
    const [dx, dy] = [over(s.x, this.size.width), over(s.y, this.size.height)];
    if (dx !== 0 || dy !== 0) this.panBy(-dx, -dy);
  }
}
