// The line to the server: one way to ask and one to send, the page's key, and the pulse that tells
// whether the server is there and what changed behind our back. Knows nothing of marks.

import { phrase } from './phrases.js';

const PATIENCE_MS = 20_000;
const PULSE_MS = 2_000;

/** The server answered, and said no. `body` is its JSON, {} when it sent none. */
export class Refusal extends Error {
  constructor(status, body) {
    super(body.says ?? phrase('server-answers', { status }));
    this.status = status;
    this.body = body;
  }
}

/** The server did not answer, or no longer knows this page: nothing was saved. */
export class Gone extends Error {}

const LOCKED = phrase('served-elsewhere');
const SILENT = phrase('out-of-reach');

let key = document.querySelector('meta[name="desk-key"]')?.content ?? '';

/** `signal`: of whoever may want the answer no longer. */
async function request(path, { signal = null, ...options } = {}) {
  const tooLate = AbortSignal.timeout(PATIENCE_MS);
  try {
    return await fetch(path, { cache: 'no-store', signal: signal ? AbortSignal.any([signal, tooLate]) : tooLate, ...options });
  } catch (error) {
    throw new Gone(SILENT, { cause: error });
  }
}

async function bodyOf(response) {
  try {
    return await response.json();
  } catch {
    return {};
  }
}

async function answerOf(response) {
  const body = await bodyOf(response);
  if (response.ok) return body;
  if (response.status === 403) throw new Gone(LOCKED);
  // A disk that is full, a folder that another program keeps locked: nothing was refused.
  if (response.status === 500 || response.status === 503) throw new Gone(body.says ?? SILENT);
  throw new Refusal(response.status, body);
}

/** A page that outlived its server is let in again once the new address was opened. */
async function renewKey() {
  const response = await request('/key');
  if (response.ok) key = (await response.json()).key;
  return response.ok;
}

/** JSON from a path. Throws Gone or Refusal. */
export async function get(path) {
  return answerOf(await request(path));
}

/** Sends JSON, gives JSON. `tag`: the text this speaks of, for If-Match. Throws Gone or Refusal. */
export async function post(path, body, { tag, signal } = {}) {
  const send = () => request(path, {
    method: 'POST',
    headers: {
      'Content-Type': 'application/json',
      'Desk-Key': key,
      ...(tag === undefined ? {} : { 'If-Match': `"${tag}"` }),
    },
    body: JSON.stringify(body),
    signal,
  });
  let response = await send();
  if (response.status === 403 && await renewKey()) response = await send();
  return answerOf(response);
}

/**
 * Asks for the pulse for ever: `beat(pulse)` at each answer, `gone(words)` when there is none.
 * Neither is awaited; a beat that is missed comes again.
 */
export function keepPulse(beat, gone) {
  const once = async () => {
    try {
      beat(await get('/pulse'));
    } catch (error) {
      gone(error instanceof Gone ? error.message : SILENT);
    }
    setTimeout(once, PULSE_MS);
  };
  setTimeout(once, PULSE_MS);
}
