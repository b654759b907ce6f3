// A press is never lost. What lies under a hand may be laid anew between the press and the release (a field was left, the
// server has answered): the two then fall on two elements, and the browser makes no click of them. So the button
// that lies there now is pressed, where it is the same one.

import { knownBy } from './make.js';

export function joinPress() {
  let pressed = null;
  addEventListener('mousedown', ({ target, button }) => { pressed = button === 0 ? target.closest?.('button') : null; }, { capture: true });
  addEventListener('mouseup', ({ target }) => {
    const now = target.closest?.('button');
    if (pressed && !pressed.isConnected && now && knownBy(now) === knownBy(pressed)) now.click();
    pressed = null;
  }, { capture: true });
}
