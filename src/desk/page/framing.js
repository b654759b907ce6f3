// How the before picture was taken, to shoot the after to match: the picture large, and the camera's
// words beside it.

import { book } from './book.js';
import { closeLeaf, leafIsOpen, openLeaf } from './leaf.js';
import { levelWords } from './level.js';
import { make } from './make.js';
import { dayOf, figure, lightWord, phrase } from './phrases.js';
import { nameOfPhoto } from './tell.js';
import { get } from './wire.js';

const SVG = 'http://www.w3.org/2000/svg';
const round = (n, step) => Math.round(n / step) * step;

function middleOf(points) {
  const list = points
    .trim()
    .split(/\s+/)
    .map((pair) => pair.split(',').map(Number));
  return [0, 1].map((axis) => list.reduce((sum, point) => sum + point[axis], 0) / list.length);
}

/** Where the card lay, in words: in which ninth of the picture. */
function cardWords({ card_at: at }, { width, height }) {
  if (!at) return null;
  const [x, y] = middleOf(at);
  const third = (part) => Math.min(2, Math.floor(part * 3));
  return phrase('card-lay', {
    down: phrase(`card-down-${third(y / height)}`),
    across: phrase(`card-across-${third(x / width)}`),
    x: Math.round((100 * x) / width),
    y: Math.round((100 * y) / height),
  });
}

/** [name, words] of what is known. */
function factsOf(photo) {
  const { facts, words } = photo;
  return [
    ['taken', dayOf(facts.taken)],
    ['camera', facts.camera],
    ['lens', facts.lens],
    ['set', facts.exposure],
    [
      'distance',
      facts.camera_distance_mm ? phrase('distance-is', { mm: round(facts.camera_distance_mm, 5) }) : null,
    ],
    [
      'tilt',
      facts.tilt_deg !== null && facts.tilt_deg !== undefined
        ? phrase('tilt-is', { degrees: figure(facts.tilt_deg.toFixed(1)) })
        : null,
    ],
    ['light', words.light && lightWord(words.light)],
    ['card', cardWords(facts, photo)],
    ['level', words['scale/plane-offset'] !== undefined ? levelWords(words['scale/plane-offset']) : null],
  ].filter(([, says]) => says);
}

function cardOutline({ facts, width, height }) {
  const svg = document.createElementNS(SVG, 'svg');
  svg.setAttribute('viewBox', `0 0 ${width} ${height}`);
  svg.setAttribute('aria-hidden', 'true');
  for (const name of facts.card_at ? ['casing', 'outline'] : []) {
    const card = document.createElementNS(SVG, 'polygon');
    card.setAttribute('points', facts.card_at);
    card.setAttribute('class', name);
    svg.append(card);
  }
  return svg;
}

/** The before picture that belongs to what lies on the bench. */
async function beforeOf(photo) {
  if (photo.stage === 'before') return photo;
  if (book.other?.stage === 'before') return book.other;
  const brief = book.volume.photos.find((one) => one.stage === 'before' && one.view === photo.view);
  return brief ? get(`/photo/${brief.id}`) : null;
}

function content(photo) {
  const picture = make(
    'figure',
    { class: 'framed' },
    make(
      'div',
      { class: 'fitted' },
      make('img', {
        src: `/photo/${photo.id}/sight?w=1600`,
        alt: nameOfPhoto(photo),
        width: photo.width,
        height: photo.height,
      }),
      cardOutline(photo),
    ),
  );
  const facts = make(
    'dl',
    { class: 'facts' },
    factsOf(photo).map(([name, says]) => make('div', {}, make('dt', {}, phrase(`fact-${name}`)), make('dd', {}, says))),
  );
  picture.firstChild.style.setProperty('--shape', photo.width / photo.height);
  return [
    picture,
    make(
      'div',
      {},
      facts,
      make(
        'p',
        { class: 'soft' },
        phrase(photo.facts.card_at ? 'framing-card' : 'framing-no-card'),
      ),
    ),
  ];
}

export async function toggleFraming() {
  if (leafIsOpen('framing')) return closeLeaf();
  const photo = book.photo ? await beforeOf(book.photo) : null;
  const body = photo ? content(photo) : [make('p', {}, phrase('framing-none'))];
  return openLeaf({
    name: 'framing',
    title: photo ? phrase('framing-title', { photo: nameOfPhoto(photo) }) : phrase('framing'),
    content: body,
  });
}
