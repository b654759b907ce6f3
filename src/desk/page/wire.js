// The line to the server: one way to ask and one to send, the page's key, and the pulse that tells
// whether the server is there and what changed behind our back. Knows nothing of marks.

import { phrase } from './phrases.js';

const PATIENCE_MS = 20_000;
const MAKING_MS = 900_000; // a document of hundreds of plates
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

/** `signal`: of whoever may want the answer no longer; `isMaking`: it has to be made first. */
async function request(path, { signal = null, isMaking = false, ...options } = {}) {
  const tooLate = AbortSignal.timeout(isMaking ? MAKING_MS : PATIENCE_MS);
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
export async function get(path, options) {
  return answerOf(await request(path, options));
}

/** A file that is made: {blob, name, says}, the last what is told of it in lines. Throws Gone or Refusal. */
export async function getFile(path) {
  const response = await request(path, { isMaking: true });
  if (!response.ok) return answerOf(response);
  const header = (name, pattern) => decodeURIComponent(pattern.exec(response.headers.get(name) ?? '')?.[1] ?? '');
  const says = header('Says', /(.+)/);
  return { blob: await response.blob(), name: header('Content-Disposition', /filename\*=UTF-8''(\S+)/), says: says ? says.split('\n') : [] };
}

/** Gives a file to the browser to be kept; it is never opened here. */
export function saveAs(blob, name) {
  const url = URL.createObjectURL(blob);
  const link = document.createElement('a');
  Object.assign(link, { href: url, download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), PATIENCE_MS);
}

/** Sends JSON, gives JSON. `tag`: the text this speaks of, for If-Match. Throws Gone or Refusal. */
export async function post(path, body, { tag, signal, isMaking } = {}) {
  const send = () => request(path, {
    method: 'POST',
    headers: {
      'Content-Type': 'application/json',
      'Desk-Key': key,
      ...(tag === undefined ? {} : { 'If-Match': `"${tag}"` }),
    },
    body: JSON.stringify(body),
    signal,
    isMaking,
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
