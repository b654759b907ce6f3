// The plate on the page is the plate of the PDF: its marks, its numbers, and how it looks, page by page,
// with what was drawn a moment ago.

import { execFileSync, spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { FRONT, Skip, check, equal, note, platewright, run, sizeWords, test, until, measure } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { startBrowser, stopBrowser } from './window.mjs';

const NAME = 'front board, before treatment';
const PATCH = [[1500, 3650], [1950, 3600], [2050, 3800], [1900, 4000]];
const [WIDTH, HEIGHT, CELL] = [2400, 1697, 8]; // px of the pictures that are compared, and of the cells of which the mean is
// Of 255, in a cell's mean: two renderers smooth edges differently, by 27 at most here and 0.8 in the mean
// of all; another page differs by 140 and 6.
const [ALIKE, ALIKE_MEAN] = [40, 1.5];

/** Of the plates of the record only the first, so that no other is drawn for nothing. */
function prepare(volume) {
  volume.write('volume.yaml', volume.read('volume.yaml').replace(/^(plates:\n  - .*\n)(?:  - .*\n)+/m, '$1'));
}

/** Runs in an empty page: the greatest and the mean difference of two pictures, cell by cell. */
async function differenceOf([addresses, width, height, cell]) {
  const [a, b] = await Promise.all(addresses.map(async (address) => {
    const image = new Image();
    image.src = address;
    await image.decode();
    const canvas = document.createElement('canvas');
    [canvas.width, canvas.height] = [width, height];
    const brush = canvas.getContext('2d');
    brush.fillStyle = '#fff';
    brush.fillRect(0, 0, canvas.width, canvas.height);
    brush.imageSmoothingQuality = 'high';
    brush.drawImage(image, 0, 0, canvas.width, canvas.height);
    return brush.getImageData(0, 0, width, height).data;
  }));
  let [worst, sum, n] = [0, 0, 0];
  for (let y = 0; y + cell <= height; y += cell)
    for (let x = 0; x + cell <= width; x += cell) {
      let off = 0;
      for (let k = 0; k < cell * cell; k += 1) {
        const at = 4 * ((y + Math.floor(k / cell)) * width + x + (k % cell));
        for (let band = 0; band < 3; band += 1) off += a[at + band] - b[at + band];
      }
      const mean = Math.abs(off) / (3 * cell * cell);
      worst = Math.max(worst, mean);
      sum += mean;
      n += 1;
    }
  return { worst, mean: sum / n };
}

async function compare(svg, png) {
  const page = await (await startBrowser()).newPage();
  try {
    const addresses = [`data:image/svg+xml;base64,${svg.toString('base64')}`, `data:image/png;base64,${png.toString('base64')}`];
    return await page.evaluate(differenceOf, [addresses, WIDTH, HEIGHT, CELL]);
  } finally {
    await page.close();
  }
}

/** The leaf's drawing of a page, as it came, once it is shown. */
async function shownPage(window, act, page) {
  const [answer] = await Promise.all([window.page.waitForResponse((one) => one.url().endsWith(`/plate?page=${page}`)), act()]);
  const svg = await answer.body();
  const picture = window.page.getByRole('img', { name: new RegExp(`^Plate: ${NAME}, page ${page} of `) });
  await until('the plate to be seen', () => picture.evaluate((img) => img.complete && img.naturalWidth > 300));
  return { svg, pages: Number(answer.headers().pages) };
}

function need(program) {
  if (spawnSync(program, ['-v']).error) throw new Skip(`${program} is not installed here`);
}

test('the plate on the page is the one of the PDF, with what was just drawn', async () => {
  ['pdftotext', 'pdftoppm'].forEach(need);
  await atDesk(async ({ volume, window }) => {
    window.expect(/\/plate\?page=\d net::ERR_ABORTED/);
    await window.open(NAME);
    await window.ring('Area', PATCH);
    await window.name('abr', 'abrasion');
    await window.saved();
    await window.tool('Look');
    const { svg, pages } = await shownPage(window, () => window.keys('v'), 1);
    await window.picture('plate');
    equal(await window.axe(), [], 'axe-core, the plate');
    const pdf = join(volume.top, 'plates.pdf');
    equal(platewright('plates', volume.path, '-o', pdf).status, 0, 'plates');
    const words = execFileSync('pdftotext', ['-raw', pdf, '-'], { encoding: 'utf8' });
    const { marks } = measure(volume.path).photos.find(({ file }) => file === FRONT);
    for (const { term, area_mm2: area } of marks.filter(({ kind }) => kind === 'area')) {
      const size = sizeWords(area, 'mm²');
      check(words.includes(term) && words.includes(size), `${term}, ${size} is not in the PDF`);
    }
    for (let page = 1; page <= pages; page += 1) {
      const drawn = page === 1 ? svg : (await shownPage(window, () => window.button('Next page').click(), page)).svg;
      execFileSync('pdftoppm', ['-f', page, '-l', page, '-scale-to-x', WIDTH, '-scale-to-y', HEIGHT, '-singlefile', '-png', pdf, join(volume.top, 'page')].map(String));
      const { worst, mean } = await compare(drawn, readFileSync(join(volume.top, 'page.png')));
      note(`page ${page} of ${pages}: differs by ${mean.toFixed(3)} in the mean, ${worst.toFixed(1)} at most, of 255`);
      check(worst < ALIKE && mean < ALIKE_MEAN, `page ${page} is not the one of the PDF`);
    }
    await window.button('Page before').click();
    await window.keys('Escape'); // while it is being drawn
    await window.large.section.waitFor(); // the bench is back
  }, { prepare });
});

await run(stopBrowser);
