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

const dashes = (list) => (list?.length > 0 ? list.map((mm) => mm * PX_PER_MM).join(' ') : 'none');

const PLAIN = { label: 'other', ink: '#55524d', angle: 0, gap: 0, dash: [], 'line-dash': [] };

export function groupOf(name) {
  return book.volume?.['page-style'].groups[name] ?? PLAIN;
}

function hatch({ ink, angle, gap, dash }) {
  const step = gap * PX_PER_MM;
  const lines = svg('g', {
    stroke: ink,
    'stroke-width': 0.9,
    'stroke-dasharray': dashes(dash),
    transform: `rotate(${-angle} ${WIDTH / 2} ${HEIGHT / 2})`,
  });
  for (let y = HEIGHT / 2 - WIDTH; step > 0 && y < HEIGHT / 2 + WIDTH; y += step)
    lines.append(svg('path', { d: `M-${WIDTH} ${y}H${2 * WIDTH}` }));
  return lines;
}

export function swatch(name) {
  const group = groupOf(name);
  return svg(
    'svg',
    { class: 'swatch', viewBox: `0 0 ${WIDTH} ${HEIGHT}`, 'aria-hidden': 'true' },
    svg('rect', { width: WIDTH, height: HEIGHT, fill: '#fff' }),
    hatch(group),
    svg('rect', {
      x: 1.5,
      y: 1.5,
      width: WIDTH - 3,
      height: HEIGHT - 3,
      fill: 'none',
      stroke: group.ink,
      'stroke-width': 2,
      'stroke-dasharray': dashes(group['line-dash']),
    }),
  );
}
