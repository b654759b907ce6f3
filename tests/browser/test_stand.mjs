// What lies on the bench stays where it is: under a leaf that comes and goes, under a pointer that
// comes over a button, and when the two photographs change places.

import { FRONT, FRONT_NAME, check, near, run, test, until } from './bench.mjs';
import { atDesk } from './desk.mjs';
import { stopBrowser } from './window.mjs';

const PLACE = [1900, 3600];
const corner = ({ left, top }) => [[left, top]];

test('help, framing and plate come and go, and the photograph lies where it lay', async () => {
  await atDesk(async ({ window }) => {
    await window.open(FRONT_NAME);
    for (const isNear of [false, true]) {
      if (isNear) await window.zoom(PLACE, 0.5);
      const was = await window.large.lay();
      for (const key of ['?', 'f', 'v']) {
        await window.keys(key);
        await window.button('Back to the bench').waitFor();
        await window.button('Back to the bench').click();
        near(corner(await window.large.lay()), corner(was), `after ${key}`, 0.01);
      }
    }
  });
});

test('what the pointer comes over does not go away from under it', async () => {
  await atDesk(async ({ window }) => {
    await window.open(FRONT_NAME);
    for (const width of [1280, 1366, 1920]) {
      await window.resize(width, 820);
      for (const button of await window.page.getByRole('button').all()) {
        if (!(await button.isVisible()) || !(await button.isEnabled())) continue;
        await window.page.mouse.move(640, 300);
        const was = await button.boundingBox();
        await window.page.mouse.move(was.x + was.width / 2, was.y + was.height / 2);
        const now = await button.boundingBox();
        const off = Math.max(...['x', 'y', 'width', 'height'].map((key) => Math.abs(now[key] - was[key])));
        check(off < 0.5, `${width}: ${await button.innerText()}: ${JSON.stringify(was)} became ${JSON.stringify(now)}`);
      }
    }
  });
});

test('the row does not go away from under a press when the photograph on the bench has come', async () => {
  await atDesk(async ({ window }) => {
    const release = await window.hold('**/photo/*');
    await window.reload();
    const print = window.page.getByRole('navigation').getByRole('button', { name: /^detail, front board, tail corner, during/ });
    await print.scrollIntoViewIfNeeded();
    const { x, y, width, height } = await print.boundingBox();
    await window.mouse([[x + width / 2, y + height / 2]]);
    await window.page.mouse.down();
    release();
    await until('the first photograph', async () => (await window.page.title()).startsWith(FRONT_NAME));
    await window.frames();
    await window.page.mouse.up();
    await until('the one that was pressed', async () => (await window.page.title()).startsWith('detail, front board'));
  });
});

test('photographs that change places keep what is looked at, and how near', async () => {
  await atDesk(async ({ window }) => {
    await window.open(FRONT_NAME);
    await window.zoom(PLACE, 0.5);
    const was = await window.large.lay();
    await window.button('Swap').click();
    await until('the after photograph', async () => (await window.page.title()).startsWith('front board, after'));
    const after = await window.large.lay();
    check(after.scale.x / was.scale.x > 0.7 && after.scale.x / was.scale.x < 1.4, `${was.scale.x} became ${after.scale.x}`);
    await window.button('Swap').click();
    await until('the before photograph', async () => (await window.page.title()).startsWith(FRONT_NAME));
    near(corner(await window.large.lay()), corner(was), 'there and back', 12); // px of the screen: where it was, by two ties' fits
  });
});

test('a long title gives way to what is said of the photograph and of saving', async () => {
  const long = (volume) => {
    volume.write('volume.yaml',
      volume.read('volume.yaml').replace(/title: "[^"]*"/, `title: "${'A Register of Soundings and Marks '.repeat(4)}"`));
    volume.write(`${FRONT}.yaml`, volume.sidecar(FRONT).replace(/^view: .*$/m, `view: front board\nplace: "${'the upper corner at the fore edge, '.repeat(3)}"`));
  };
  await atDesk(async ({ window }) => {
    await window.open('front board, the upper corner');
    for (const width of [900, 1280]) {
      await window.resize(width, 820);
      const boxes = await window.page.evaluate(() => ['#volume-title', '#volume-what', '#kept'].map((selector) => {
        const { left, right } = document.querySelector(selector).getBoundingClientRect();
        return { left, right };
      }));
      for (let i = 1; i < boxes.length; i += 1)
        check(boxes[i - 1].right <= boxes[i].left + 0.5, `${width}: ${JSON.stringify(boxes)}`);
    }
  }, { prepare: long });
});

await run(stopBrowser);
