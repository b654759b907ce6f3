// Pixels of a PNG as the browser takes its pictures: eight bits, RGB or RGBA, not interlaced
// (W3C PNG, third edition, sections 9 and 11).

import { inflateSync } from 'node:zlib';

const CHANNELS = { 2: 3, 6: 4 }; // by colour type

function paeth(a, b, c) {
  const [pa, pb, pc] = [Math.abs(b - c), Math.abs(a - c), Math.abs(a + b - 2 * c)];
  if (pa <= pb && pa <= pc) return a;
  return pb <= pc ? b : c;
}

const FILTERS = [() => 0, (a) => a, (a, b) => b, (a, b) => (a + b) >> 1, paeth];

/** {width, height, at(x, y): [r, g, b]} */
export function readPng(bytes) {
  let [width, height, n, data] = [0, 0, 0, []];
  for (let at = 8; at < bytes.length; at += 12 + bytes.readUInt32BE(at)) {
    const type = bytes.toString('latin1', at + 4, at + 8);
    const body = bytes.subarray(at + 8, at + 8 + bytes.readUInt32BE(at));
    if (type === 'IHDR') [width, height, n] = [body.readUInt32BE(0), body.readUInt32BE(4), CHANNELS[body[9]]];
    if (type === 'IDAT') data.push(body);
  }
  const raw = inflateSync(Buffer.concat(data));
  const stride = width * n;
  const pixels = Buffer.alloc(stride * height);
  for (let y = 0; y < height; y += 1) {
    const filter = FILTERS[raw[y * (stride + 1)]];
    for (let i = 0; i < stride; i += 1) {
      const here = y * stride + i;
      const left = i >= n ? pixels[here - n] : 0;
      const above = y > 0 ? pixels[here - stride] : 0;
      const corner = i >= n && y > 0 ? pixels[here - stride - n] : 0;
      pixels[here] = raw[y * (stride + 1) + 1 + i] + filter(left, above, corner);
    }
  }
  return { width, height, at: (x, y) => [...pixels.subarray(y * stride + x * n, y * stride + x * n + 3)] };
}
