// The bench itself: what the tests stand on is what they take it for.

import { readFileSync } from 'node:fs';
import { createServer } from 'node:http';
import { join } from 'node:path';
import { SOURCE, check, equal, run, test, until } from './bench.mjs';
import { points, readSidecar } from './sidecar.mjs';
import { Window, startBrowser, stopBrowser } from './window.mjs';

/** A page served here, for the guard and the eyes to look at. */
async function served(html, body) {
  const server = createServer((_, answer) => {
    answer.writeHead(200, { 'Content-Type': 'text/html; charset=utf-8', 'Content-Security-Policy': "default-src 'self'; img-src *" });
    answer.end(html);
  });
  await new Promise((resolve) => { server.listen(0, '127.0.0.1', resolve); });
  const window = await Window.open({ address: `http://127.0.0.1:${server.address().port}/` });
  try {
    await body(window);
  } finally {
    await window.context.close();
    server.close();
  }
}

const page = (inside) => `<!doctype html><html lang="en"><title>t</title><main><h1>t</h1>${inside}</main></html>`;

function faultsOf(window) {
  try {
    window.guard.verify();
    return '';
  } catch (error) {
    return error.message;
  }
}

test('the lock names sums and no registry', async () => {
  const lock = readFileSync(join(SOURCE, 'tests', 'browser', 'package-lock.json'), 'utf8');
  check(!/:\/\/|"resolved"/.test(lock), 'an address stands in the lock');
  for (const [name, { integrity }] of Object.entries(JSON.parse(lock).packages))
    check(name === '' || /^sha512-/.test(integrity), `${name} has no sum`);
});

test('the browser is Debian\'s Chromium', async () => {
  const version = (await startBrowser()).version();
  check(Number.parseInt(version, 10) >= 100, version);
});

test('the guard sees an inline script and a picture from elsewhere', async () => {
  await served(page('<p>quiet</p>'), async (window) => equal(faultsOf(window), ''));
  await served(page('<script>1</script><img alt="" src="http://192.0.2.1/a.png">'), async (window) => {
    for (const fault of ['content security policy: script-src', 'asked beyond this machine: http://192.0.2.1/a.png'])
      await until(fault, () => faultsOf(window).includes(fault));
  });
});

test('axe-core sees a button without a name', async () => {
  await served(page('<button>named</button>'), async (window) => equal(await window.axe(), []));
  await served(page('<button></button>'), async (window) => {
    const found = await window.axe();
    check(found.some((line) => line.startsWith('button-name')), found.join('\n'));
  });
});

test('sidecars are read as they are written', async () => {
  const read = readSidecar(`format: platewright-photo 1
photo:
  size: 60 x 40   # upright
scale: {span: {from: "1,2", to: "3,4", length: 100}, tags: [a, "b, c"]}
note: "a # in it and \\"quotes\\""
marks:
  - id: 1
    outline: 1,2 3,4 5,6
    holes:
      - "1,1 2,2"
  - {id: 2, private: yes, note: 'it''s'}
`);
  equal(read, { format: 'platewright-photo 1', photo: { size: '60 x 40' },
    scale: { span: { from: '1,2', to: '3,4', length: '100' }, tags: ['a', 'b, c'] }, note: 'a # in it and "quotes"',
    marks: [{ id: '1', outline: '1,2 3,4 5,6', holes: ['1,1 2,2'] }, { id: '2', private: 'yes', note: 'it\'s' }] });
  equal(points('1,2  3.5,4'), [[1, 2], [3.5, 4]]);
});

await run(stopBrowser);
