// A page that is drawn on a screen is the page of the PDF: Chromium draws the one, poppler the other.

import { execFileSync, spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { Skip, check, note } from './bench.mjs';
import { startBrowser } from './window.mjs';

const CELL = 8; // px of the cells of which the mean is compared
// Of 255, in a cell's mean: two renderers smooth edges differently, by 27 at most here and 0.8 in the mean
// of all; another page differs by 140 and 6.
const [ALIKE, ALIKE_MEAN] = [40, 1.5];

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

async function compare(svg, png, width, height) {
  const page = await (await startBrowser()).newPage();
  try {
    const addresses = [`data:image/svg+xml;base64,${svg.toString('base64')}`, `data:image/png;base64,${png.toString('base64')}`];
    return await page.evaluate(differenceOf, [addresses, width, height, CELL]);
  } finally {
    await page.close();
  }
}

/** `svg` looks like page `page` of the PDF, both drawn so large; `most` and `mean`: what they may differ by. */
export async function checkAlike(svg, pdf, page, [width, height], { most = ALIKE, mean: mostMean = ALIKE_MEAN } = {}) {
  const png = pdf.replace(/\.pdf$/, `-${page}`);
  execFileSync('pdftoppm', ['-f', page, '-l', page, '-scale-to-x', width, '-scale-to-y', height, '-singlefile', '-png', pdf, png].map(String));
  const { worst, mean } = await compare(svg, readFileSync(`${png}.png`), width, height);
  note(`page ${page}: differs by ${mean.toFixed(3)} in the mean, ${worst.toFixed(1)} at most, of 255`);
  check(worst < most && mean < mostMean, `page ${page} is not the one of the PDF`);
}

export function need(program) {
  if (spawnSync(program, ['-v']).error) throw new Skip(`${program} is not installed here`);
}
