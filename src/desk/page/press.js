// A press is never lost, though the page changes under the hand meanwhile: a field was left, the server has answered.

import { knownBy } from './make.js';

let isPressed = false; // a finger or a button of the mouse is down somewhere on the page
for (const [name, pressed] of [['pointerdown', true], ['pointerup', false], ['pointercancel', false]])
  globalThis.addEventListener?.(name, () => (isPressed = pressed), { capture: true });

/** Runs what would move something away from under the hand, once what is being touched has been. */
export function afterTouch(run) {
  if (isPressed) addEventListener('pointerup', () => setTimeout(run), { capture: true, once: true });
  else setTimeout(run);
}

/** Where a button is laid anew between press and release, the two fall on two elements, and the browser makes no click of
 * them. So the button that lies there now is pressed, where it is the same one. */
export function joinPress() {
  let pressed = null;
  addEventListener('mousedown', ({ target, button }) => { pressed = button === 0 ? target.closest?.('button') : null; }, { capture: true });
  addEventListener('mouseup', ({ target }) => {
    const now = target.closest?.('button');
    if (pressed && !pressed.isConnected && now && knownBy(now) === knownBy(pressed)) now.click();
    pressed = null;
  }, { capture: true });
}
