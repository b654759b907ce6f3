// Which window this is, and which others are open on the same volume: each keeps its own unsaved
// strokes and its own way back, and takes over those of windows that are no more.

const ANSWER_MS = 400;

function newName() {
  const name = Array.from(crypto.getRandomValues(new Uint8Array(8)), (byte) =>
    byte.toString(16).padStart(2, '0')).join('');
  sessionStorage.setItem('window', name);
  return name;
}

/** Names of the other windows of this volume that are open. */
function askOthers(channel) {
  const others = new Set();
  channel.onmessage = ({ data }) => { if (data.here) others.add(data.here); };
  channel.postMessage({ asks: true });
  return new Promise((resolve) => { setTimeout(() => resolve(others), ANSWER_MS); });
}

/** @returns {Promise<{name: string, others: Set<string>}>} */
export async function meetWindows() {
  const channel = new BroadcastChannel('platewright-windows');
  const others = await askOthers(channel);
  const known = sessionStorage.getItem('window');
  // A window that was copied brings the name of the one it was copied from.
  const name = known && !others.has(known) ? known : newName();
  channel.onmessage = ({ data }) => { if (data.asks) channel.postMessage({ here: name }); };
  return { name, others };
}
