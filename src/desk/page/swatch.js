// A group's look in small, as the key of a plate shows it: outline and hatch in its ink, on white.

import { book } from './book.js';

const SVG = 'http://www.w3.org/2000/svg';
const WIDTH = 28;
const HEIGHT = 18;
const PX_PER_MM = 2.4; // of the plate's lengths

function svg(tag, attributes, ...children) {
  const node = document.createElementNS(SVG, tag);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  node.append(...children);
  return node;
}

const dashes = (list) => (Array.isArray(list) ? list.map((mm) => Number(mm) * PX_PER_MM).join(' ') : 'none');

export function groupOf(name) {
  const groups = book.volume?.['page-style']?.groups ?? book.volume?.['page-style'] ?? {};
  const found = Array.isArray(groups) ? groups.find((group) => group.name === name) : groups[name];
  return found ?? { label: name ?? 'other', ink: '55524d', angle: 0, gap: 0 };
}

function hatch({ ink, angle, gap, dash }) {
  const step = Number(gap ?? 0) * PX_PER_MM;
  const lines = svg('g', { stroke: ink, 'stroke-width': 0.9, 'stroke-dasharray': dashes(dash),
    transform: `rotate(${-Number(angle ?? 0)} ${WIDTH / 2} ${HEIGHT / 2})` });
  for (let y = HEIGHT / 2 - WIDTH; step > 0 && y < HEIGHT / 2 + WIDTH; y += step)
    lines.append(svg('path', { d: `M-${WIDTH} ${y}H${2 * WIDTH}` }));
  return lines;
}

export function swatch(name) {
  const group = groupOf(name);
  const ink = String(group.ink).startsWith('#') ? group.ink : `#${group.ink}`;
  return svg('svg', { class: 'swatch', viewBox: `0 0 ${WIDTH} ${HEIGHT}`, 'aria-hidden': 'true' },
    svg('rect', { width: WIDTH, height: HEIGHT, fill: '#fff' }), hatch({ ...group, ink }),
    svg('rect', { x: 1.5, y: 1.5, width: WIDTH - 3, height: HEIGHT - 3, fill: 'none', stroke: ink, 'stroke-width': 2,
      'stroke-dasharray': dashes(group['line-dash'] ?? group.line_dash) }));
}
