// The drawing hand, once it lies on the bench: words reach it through here.

/** @type {{bench: import('./bench.js').Bench|null}} */
export const hands = { bench: null };
