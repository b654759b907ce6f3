// The leaf "The volume" as the browser tests take hold of it, and volume.yaml as they read it.

import { check, until } from './bench.mjs';

export const FILE = 'volume.yaml';
export const read = (volume) => volume.read(FILE);
export const leafOf = (window) => window.page.getByRole('region', { name: 'The volume', exact: true });
export const part = (window, name) => leafOf(window).getByRole('region', { name, exact: true });

export async function openLeaf(window) {
  const button = window.button('Volume');
  const more = window.page.getByRole('button', { name: 'More', exact: true });
  if (!await button.isVisible()) await window.press(more);
  await window.press(button);
  await leafOf(window).waitFor();
  return leafOf(window);
}

/** The line of an entry that says these words, opened. */
export async function openEntry(where, words) {
  const entry = where.locator('details.entry').filter({ hasText: words }).first();
  await entry.locator('summary').first().click();
  await entry.locator('.form').first().waitFor(); // its fields are made when they are wanted
  return entry;
}

/** Writes into a field and leaves it. */
export async function write(field, text) {
  await field.fill(text);
  await field.blur();
}

/** Where two texts differ: {from, to}, the stretch between what both begin and end with. */
export function stretch(before, after) {
  let first = 0;
  let last = 0;
  while (first < Math.min(before.length, after.length) && before[first] === after[first]) first += 1;
  const most = Math.min(before.length, after.length) - first;
  while (last < most && before.at(-1 - last) === after.at(-1 - last)) last += 1;
  return { from: before.slice(first, before.length - last), to: after.slice(first, after.length - last) };
}

/** The text is what it was, but for one stretch. */
export async function becomes(volume, before, from, to) {
  const wanted = before.replace(from, () => to);
  check(wanted !== before, `"${from}" stands in the text`);
  await until(`${to} in the text`, () => read(volume) === wanted).catch((error) => {
    throw new Error(`${error.message}\n${JSON.stringify(stretch(before, read(volume)))}`);
  });
}
