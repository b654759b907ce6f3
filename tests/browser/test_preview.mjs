// The plate on the page is the plate of the PDF: its marks, its numbers, and how it looks, page by page,
// with what was drawn a moment ago.

import { execFileSync } from 'node:child_process';
import { join } from 'node:path';
import { checkAlike, need } from './alike.mjs';
import { FRONT, check, equal, platewright, run, sizeWords, test, until, measure } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { stopBrowser } from './window.mjs';

const NAME = 'front board, before treatment';
const PATCH = [[1500, 3650], [1950, 3600], [2050, 3800], [1900, 4000]];

/** Of the plates of the record only the first, so that no other is drawn for nothing. */
function prepare(volume) {
  volume.write('volume.yaml', volume.read('volume.yaml').replace(/^(plates:\n  - .*\n)(?:  - .*\n)+/m, '$1'));
}

/** The leaf's drawing of a page, as it came, once it is shown. */
async function shownPage(window, act, page) {
  const [answer] = await Promise.all([window.page.waitForResponse((one) => one.url().endsWith(`/plate?page=${page}`)), act()]);
  const svg = await answer.body();
  const picture = window.page.getByRole('img', { name: new RegExp(`^Plate: ${NAME}, page ${page} of `) });
  await until('the plate to be seen', () => picture.evaluate((img) => img.complete && img.naturalWidth > 300));
  return { svg, pages: Number(answer.headers().pages) };
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
      await checkAlike(drawn, pdf, page, [2400, 1697]);
    }
    await window.button('Page before').click();
    await window.keys('Escape'); // while it is being drawn
    await window.large.section.waitFor(); // the bench is back
  }, { prepare });
});

await run(stopBrowser);
