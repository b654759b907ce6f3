// What an eye and a finger want of any state of the page, in numbers. Each function runs in the page and
// gives what it finds wrong, a line each.

/** Whether a person sees something of it. */
function tools() {
  const isSeen = (node) => node.checkVisibility({ visibilityProperty: true }) && !node.closest('.unseen, .store')
    && node.getBoundingClientRect().width > 1;
  const nameOf = (node) => `${node.tagName.toLowerCase()}.${node.className?.baseVal ?? node.className}`
    + ` "${(node.getAttribute('aria-label') ?? node.innerText ?? node.value ?? '').trim().replace(/\s+/g, ' ').slice(0, 40)}"`;
  const all = (selector) => [...document.querySelectorAll(selector)].filter(isSeen);
  return { isSeen, nameOf, all };
}

/** Nothing runs out of the window, and no button's words are cut. */
function findCut() {
  const { nameOf, all, isSeen } = globalThis.eyes();
  const { scrollWidth } = document.documentElement;
  const wide = Math.max(scrollWidth, document.body.scrollWidth) > innerWidth ? [`the page is ${scrollWidth} px wide, the window ${innerWidth}`] : [];
  const isCut = (node) => node.scrollWidth > node.clientWidth && getComputedStyle(node).display !== 'inline';
  const buttons = all('button, summary, [role="option"], label.word, label.tick');
  const cut = buttons.filter((button) => [button, ...button.querySelectorAll('span, b, strong')].some((node) => isSeen(node) && isCut(node)));
  return [...wide, ...cut.map((node) => `cut: ${nameOf(node)}: ${node.scrollWidth} of ${node.clientWidth} px`)];
}

/** What a finger touches is as large as a finger: WCAG 2.2, 2.5.5 (enhanced). */
function findSmall() {
  const { nameOf, all } = globalThis.eyes();
  const LEAST = 44;
  const own = 'button, a[href], summary, [role="option"], select, textarea, label.word, label.tick, label.version, '
    + 'input:not([type="radio"], [type="checkbox"])';
  return all(own).flatMap((node) => {
    const { width, height } = node.getBoundingClientRect();
    return Math.min(width, height) < LEAST - 0.05 ? [`small: ${nameOf(node)}: ${width.toFixed(1)} x ${height.toFixed(1)}`] : [];
  });
}

/** What lies beyond the window's foot is reached by scrolling: itself, the page, or something between. */
function findOut() {
  const { nameOf, all } = globalThis.eyes();
  const scrolls = (node) => /auto|scroll/.test(getComputedStyle(node).overflowY);
  const isReached = (node) => {
    for (let at = node.parentElement; at; at = at.parentElement) if (scrolls(at)) return true;
    return node.getBoundingClientRect().top < innerHeight - 1;
  };
  return all('button, summary, input, select').filter((node) => !isReached(node)).map((node) => `out of reach: ${nameOf(node)}`);
}

/** Nothing lies over the photograph: asked at places all over it. */
function findOver() {
  const { nameOf, isSeen } = globalThis.eyes();
  const large = document.querySelector('#large');
  if (!isSeen(large)) return [];
  const { left, top, width, height } = large.getBoundingClientRect();
  const shares = [0.05, 0.275, 0.5, 0.725, 0.95];
  return shares.flatMap((x) => shares.map((y) => document.elementFromPoint(left + x * width, top + y * height)))
    .filter((node) => node && !large.contains(node)).map((node) => `over the photograph: ${nameOf(node)}`);
}

/** Text against what it stands on, as WCAG 2.2, 1.4.3 reckons it; axe-core gives gradients up. */
function findFaint() {
  const { nameOf, isSeen } = globalThis.eyes();
  const partsOf = (colour) => colour.match(/[\d.]+/g).map(Number);
  const light = (colour) => partsOf(colour).slice(0, 3).map((v) => v / 255)
    .map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4))
    .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
  const isOpaque = (colour) => (partsOf(colour)[3] ?? 1) === 1;
  const canvas = document.createElement('canvas').getContext('2d');
  const plain = (colour) => { // a variable of the page as rgb()
    canvas.fillStyle = colour;
    return `rgb(${partsOf(canvas.fillStyle.replace(/#(..)(..)(..)/, (_, ...hex) => hex.slice(0, 3).map((h) => parseInt(h, 16)).join(' ')))})`;
  };
  const groundOf = (node) => {
    for (let at = node; at; at = at.parentElement) {
      const { backgroundColor } = getComputedStyle(at);
      if (at.id === 'slip') return plain(getComputedStyle(at).getPropertyValue('--paper'));
      if (isOpaque(backgroundColor)) return backgroundColor;
    }
    return 'rgb(255 255 255)';
  };
  const hasText = (node) => [...node.childNodes].some((child) => child.nodeType === Node.TEXT_NODE && child.data.trim());
  const faint = (node) => {
    const { color, fontSize, fontWeight } = getComputedStyle(node);
    const isLarge = parseFloat(fontSize) >= 24 || (parseFloat(fontSize) >= 18.66 && fontWeight >= 700);
    const [a, b] = [light(color), light(groundOf(node))].sort((x, y) => y - x);
    return (a + 0.05) / (b + 0.05) < (isLarge ? 3 : 4.5) && !node.closest(':disabled');
  };
  return [...document.body.querySelectorAll('*:not(svg *)')].filter((node) => isSeen(node) && hasText(node) && faint(node))
    .map((node) => `faint: ${nameOf(node)}: ${getComputedStyle(node).color} on ${groundOf(node)}`);
}

/** What moves for longer than a blink. */
function findMoving() {
  const { nameOf } = globalThis.eyes();
  const MOST_S = 0.01;
  const seconds = (text) => Math.max(...text.split(',').map((t) => (t.trim().endsWith('ms') ? parseFloat(t) / 1000 : parseFloat(t))));
  const styled = [...document.querySelectorAll('*')].filter((node) => ['', '::before', '::after'].some((part) => {
    const { transitionDuration, animationDuration } = getComputedStyle(node, part);
    return Math.max(seconds(transitionDuration), seconds(animationDuration)) > MOST_S;
  }));
  const running = document.getAnimations().filter((one) => one.effect.getComputedTiming().endTime > MOST_S * 1000);
  return [...styled.map((node) => `moves: ${nameOf(node)}`), ...running.map((one) => `runs: ${one.animationName ?? one.transitionProperty}`)];
}

/** All that the finders named find wrong with the page as it is now. */
async function look(window, ...finders) {
  await window.page.evaluate(`globalThis.eyes = ${tools}`);
  const found = [];
  for (const finder of finders) found.push(...await window.page.evaluate(finder));
  return found;
}

export const findFaults = (window) => look(window, findCut, findSmall, findOut, findOver, findFaint);
export const findFaintness = (window) => look(window, findFaint);
export const findMotion = (window) => look(window, findMoving);
