// What this browser remembers of its reader: light or dark, which hand, whether letters are keys.

const DEFAULTS = { look: 'system', hand: 'left', letters: 'on' };

function read(name) {
  try {
    return localStorage.getItem(`desk-${name}`) ?? DEFAULTS[name];
  } catch {
    return DEFAULTS[name]; // a browser that keeps nothing still works
  }
}

export const settings = Object.fromEntries(Object.keys(DEFAULTS).map((name) => [name, read(name)]));

/** Written on the root, where the style sheets look. */
function show() {
  const { dataset } = document.documentElement;
  dataset.look = settings.look;
  dataset.hand = settings.hand;
}

export function set(name, value) {
  settings[name] = value;
  try {
    localStorage.setItem(`desk-${name}`, value);
  } catch {
    /* for this visit only */
  }
  show();
}

export function isDark() {
  if (settings.look !== 'system') return settings.look === 'dark';
  return matchMedia('(prefers-color-scheme: dark)').matches;
}

show();
