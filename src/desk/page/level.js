// Which way a level counts, drawn: the camera above, the card, and the surface that is measured.

import { figure, phrase } from './phrases.js';

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
  if (value === undefined || value === null || value === '') return phrase('level-none');
  if (value === 'thickness') return phrase('level-thickness');
  const mm = Number(value);
  if (!Number.isFinite(mm)) return phrase('level-not');
  if (mm === 0) return phrase('level-zero');
  return phrase(mm > 0 ? 'level-below' : 'level-above', { mm: figure(Math.abs(mm)) });
}

export function levelPicture() {
  const svg = line({ viewBox: '0 0 240 76', class: 'level-picture', role: 'img' }, 'svg');
  const surface = line({ class: 'level-surface' });
  const card = line({ d: 'M150 46h60', class: 'level-card' });
  const camera = line({ d: 'M92 4h16l4 4h10v10H78V8h10z', class: 'level-camera' });
  const name = words(phrase('level-surface'), 18, 40);
  svg.append(camera, surface, card, name, words(phrase('level-card'), 212, 50));
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
