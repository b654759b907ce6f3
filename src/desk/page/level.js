// Which way a level counts, drawn: the camera above, the card, and the surface that is measured.

const SVG = 'http://www.w3.org/2000/svg';
const REACH = 16; // how far apart the drawing can put them, whatever the number is

function line(attributes, name = 'path') {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  return node;
}

function words(text, x, y) {
  const node = line({ x, y }, 'text');
  node.textContent = text;
  return node;
}

/** What a level says in words. */
export function levelWords(value) {
  if (value === undefined || value === null || value === '') return 'Not told: there will be no sizes.';
  if (value === 'thickness')
    return 'The card lay on the table; the surface is the volume\u2019s thickness nearer the camera.';
  const mm = Number(value);
  if (!Number.isFinite(mm)) return 'A number of mm, or the word thickness.';
  if (mm === 0) return 'The card lay on the surface that is measured.';
  return mm > 0 ? `The card lay ${mm} mm below the surface.` : `The card lay ${-mm} mm above the surface.`;
}

export function levelPicture() {
  const svg = line({ viewBox: '0 0 240 76', class: 'level-picture', role: 'img' }, 'svg');
  const surface = line({ class: 'level-surface' });
  const card = line({ d: 'M150 46h60', class: 'level-card' });
  const camera = line({ d: 'M92 4h16l4 4h10v10H78V8h10z', class: 'level-camera' });
  const name = words('surface', 18, 40);
  svg.append(camera, surface, card, name, words('card', 212, 50));
  return {
    node: svg,
    show(value) {
      const mm = value === 'thickness' ? Infinity : Number(value ?? 0);
      const rise = Number.isNaN(mm) ? 0 : Math.max(-1, Math.min(1, mm / 20)) * REACH;
      surface.setAttribute('d', `M18 ${46 - rise}h120v${Math.max(2, 24 + rise)}H18z`);
      name.setAttribute('y', 40 - rise);
      svg.setAttribute('aria-label', levelWords(value));
    },
  };
}
