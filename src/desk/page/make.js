// Small ways to make and find elements, so that no part builds HTML out of text.

const SVG = 'http://www.w3.org/2000/svg';

const isNode = (child) => child !== null && child !== undefined && child !== false;

/** An element: `props` are properties, but on…: a listener; data-…, aria-…, role, for: attributes. */
export function make(tag, props = {}, ...children) {
  const node = document.createElement(tag);
  for (const [key, value] of Object.entries(props)) setProp(node, key, value);
  node.append(...children.flat().filter(isNode));
  return node;
}

function setProp(node, key, value) {
  if (value === null || value === undefined) return;
  if (key.startsWith('on')) node.addEventListener(key.slice(2), value);
  else if (key === 'class') node.className = value;
  else if (key in node && !key.includes('-') && key !== 'list') node[key] = value;
  else node.setAttribute(key, value);
}

/** One of the icons that lie in index.html. */
export function icon(name) {
  const svg = document.createElementNS(SVG, 'svg');
  svg.setAttribute('class', 'icon');
  svg.setAttribute('aria-hidden', 'true');
  const use = document.createElementNS(SVG, 'use');
  use.setAttribute('href', `#i-${name}`);
  svg.append(use);
  return svg;
}

export const find = (selector, under = document) => under.querySelector(selector);

let last = 0;
/** An id nobody else has. */
export function freshId(name) {
  last += 1;
  return `${name}-${last}`;
}

export function button(props, ...children) {
  return make('button', { type: 'button', ...props }, ...children);
}

/** Words of the library, in which what stands in the files is set in `backquotes`. */
export function prose(text) {
  return text.split('`').map((part, i) => (i % 2 ? make('code', {}, part) : part));
}

/** What a control is known by, when it is laid anew. */
export const knownBy = ({ dataset, ariaLabel, textContent }) => dataset.photo ?? dataset.mark ?? ariaLabel ?? textContent;

/** Puts new children in place of the old ones; a focus that was among them stays on the same control, else at its place. */
export function fill(node, ...children) {
  const controls = () => [...node.querySelectorAll('button, input')];
  const focused = node.contains(document.activeElement) ? document.activeElement : null;
  const at = focused ? controls().indexOf(focused) : -1;
  node.replaceChildren(...children.flat().filter(isNode));
  if (at < 0) return;
  const now = controls();
  const same = now.filter((one) => one.tagName === focused.tagName && knownBy(one) === knownBy(focused));
  (same.length === 1 ? same[0] : now[Math.min(at, now.length - 1)])?.focus();
}
