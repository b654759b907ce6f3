// What a document can do beyond being read: two stages compared by a slider, and the words of a mark
// where it is touched. Without this all is still there: pictures one below the other, links both ways.

const isWide = matchMedia('(min-width: 62rem)'); // the list of marks stands beside the pictures
const FAR = 6; // px that a finger goes before it draws the slider and no longer touches a mark
const BEYOND = 12; // percent of the picture that a mark is seen clear of the slider

// ---- Two stages ----

/** Shows the pair up to `percent`, and tells the slider. */
function slide(pair, percent) {
  const input = pair.querySelector('.slider input');
  input.value = Math.round(Math.min(100, Math.max(0, percent)));
  pair.style.setProperty('--at', `${input.value}%`);
}

/** Where on the pair a place of the window lies, in percent. */
function percentAt(pair, x) {
  const { left, width } = pair.querySelector('.picture-frame').getBoundingClientRect();
  return (100 * (x - left)) / width;
}

/** Moves the slider aside where the mark lies on the part that is not seen. */
function uncover(mark) {
  const pair = mark.closest('.compared');
  if (!pair) return;
  const { left, right } = mark.querySelector('text').getBoundingClientRect();
  const [from, to] = [percentAt(pair, left), percentAt(pair, right)];
  const at = Number(pair.querySelector('.slider input').value);
  const isOver = mark.closest('.picture') !== pair.querySelector('.picture');
  if (isOver && at > from) slide(pair, from - BEYOND);
  if (!isOver && at < to) slide(pair, to + BEYOND);
}

function compare(pair) {
  const slider = pair.querySelector('.slider');
  let hand = null;
  pair.classList.add('compared');
  slider.hidden = false;
  slide(pair, 50);
  slider.querySelector('input').addEventListener('input', ({ target }) => slide(pair, target.value));
  pair.addEventListener('dragstart', (event) => event.preventDefault());
  pair.addEventListener('pointerdown', (event) => {
    const frame = event.target.closest('.picture-frame');
    hand = frame && event.isPrimary && event.button === 0 ? { frame, x: event.clientX, hasMoved: false } : null;
  });
  pair.addEventListener('pointermove', (event) => {
    if (!hand || (!hand.hasMoved && Math.abs(event.clientX - hand.x) < FAR)) return;
    if (!hand.hasMoved) hand.frame.setPointerCapture(event.pointerId);
    hand.hasMoved = true;
    slide(pair, percentAt(pair, event.clientX));
  });
  pair.addEventListener('pointercancel', () => { hand = null; });
  pair.addEventListener('click', (event) => {
    if (!event.target.closest('.picture-frame')) return;
    if (hand?.hasMoved) {
      event.preventDefault();
      event.stopPropagation();
    } else if (!event.target.closest('.marks a')) slide(pair, percentAt(pair, event.clientX));
    hand = null;
  }, { capture: true });
}

for (const pair of document.querySelectorAll('.pair')) compare(pair);

// ---- Words of a mark ----

const slip = document.getElementById('_slip')?.content.firstElementChild;
if (slip) document.body.append(slip);

/** Where a link of the file leads; one in SVG has no `hash`. */
function targetOf(link) { return document.getElementById(link.getAttribute('href').slice(1)); }

function forget() {
  for (const node of document.querySelectorAll('.chosen')) node.classList.remove('chosen');
  if (slip) slip.hidden = true;
}

/** What lies under the slip is brought above it. */
function clear(mark) {
  const hidden = mark.getBoundingClientRect().bottom - (innerHeight - slip.offsetHeight);
  if (hidden > 0) scrollBy(0, hidden + 16);
}

function show(words) {
  const [number, text] = [words.querySelector('.number'), words.querySelector('.words')];
  slip.replaceChildren(number.cloneNode(true), text.cloneNode(true), slip.lastElementChild);
  slip.hidden = false;
}

function choose(mark) {
  const words = targetOf(mark);
  forget();
  const all = mark.closest('.plate').querySelectorAll(`.marks a[href="${mark.getAttribute('href')}"]`);
  for (const node of [words, ...all]) node.classList.add('chosen');
  uncover(mark);
  if (isWide.matches) return words.scrollIntoView({ block: 'nearest' });
  show(words);
  return clear(mark);
}

/** How far a place of the window lies from the middle of what is drawn there. */
function distance(node, { clientX, clientY }) {
  const { left, right, top, bottom } = node.getBoundingClientRect();
  return Math.hypot(clientX - (left + right) / 2, clientY - (top + bottom) / 2);
}

function area(node) {
  const { width, height } = node.getBoundingClientRect();
  return width * height;
}

/** The mark whose number is touched; else the smallest there, so that one within another is reached. */
function markAt(event) {
  const nodes = document.elementsFromPoint(event.clientX, event.clientY).filter((node) => node.closest('.marks a'));
  const [number] = nodes.filter((node) => node.matches('circle.touch')).sort((a, b) => distance(a, event) - distance(b, event));
  const [smallest] = nodes.map((node) => node.closest('a')).sort((a, b) => area(a) - area(b));
  return number?.closest('a') ?? smallest;
}

document.addEventListener('focusin', ({ target }) => {
  const mark = target.closest('.marks a');
  if (mark?.matches(':focus-visible')) choose(mark); // a press is not over yet: what it touches must stay where it is
  else if (!mark && !target.closest('.slip, .chosen')) forget();
});

document.addEventListener('click', (event) => {
  const { target } = event;
  const way = target.closest('.callouts a, .slip a');
  if (way) {
    event.preventDefault();
    const mark = targetOf(way);
    mark.focus({ preventScroll: true });
    mark.scrollIntoView({ block: 'nearest' });
    choose(mark);
  } else if (target.closest('.slip button')) forget();
  else if (target.closest('.marks a')) {
    event.preventDefault();
    const isByKey = event.detail === 0;
    if (isByKey) targetOf(target.closest('a')).querySelector('a').focus();
    else {
      const mark = markAt(event);
      mark.focus({ preventScroll: true });
      choose(mark);
    }
  } else if (!target.closest('.slip')) forget();
});

document.addEventListener('keydown', ({ key }) => { if (key === 'Escape') forget(); });

// ---- What is wider than the page can be moved by keys ----

const watcher = new ResizeObserver((entries) => {
  for (const { target } of entries) {
    if (target.scrollWidth > target.clientWidth) target.tabIndex = 0;
    else target.removeAttribute('tabindex');
  }
});
for (const frame of document.querySelectorAll('.wide')) watcher.observe(frame);
