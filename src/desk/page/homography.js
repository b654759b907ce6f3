// The map between two photographs of one flat face, by ties. Pure.

/** Solves rows of a | b by Gauss with the largest pivot; null where they do not determine it. */
function solve(rows) {
  const n = rows.length;
  for (let k = 0; k < n; k += 1) {
    const pivot = rows.slice(k).reduce((best, row, i) => (Math.abs(row[k]) > Math.abs(rows[best][k]) ? k + i : best), k);
    if (Math.abs(rows[pivot][k]) < 1e-9) return null;
    [rows[k], rows[pivot]] = [rows[pivot], rows[k]];
    for (let i = 0; i < n; i += 1) {
      if (i === k) continue;
      const factor = rows[i][k] / rows[k][k];
      for (let j = k; j <= n; j += 1) rows[i][j] -= factor * rows[k][j];
    }
  }
  return rows.map((row, k) => row[n] / row[k]);
}

/** To about 1 around 0, so that squares of pixels do not drown what they are added to. */
function normal(path) {
  const mean = (key) => path.reduce((sum, p) => sum + p[key], 0) / path.length;
  const [x, y] = [mean('x'), mean('y')];
  const size = Math.sqrt(path.reduce((sum, p) => sum + (p.x - x) ** 2 + (p.y - y) ** 2, 0) / path.length) || 1;
  return { to: (p) => ({ x: (p.x - x) / size, y: (p.y - y) / size }), from: (p) => ({ x: p.x * size + x, y: p.y * size + y }) };
}

/**
 * The projective map that carries `from` to `to`, least squares of the linear form (Hartley and
 * Zisserman, Multiple View Geometry, 4.1, with their normalisation); four points or more, no three of
 * four in line. A function of a point, or null.
 */
export function homographyThrough(from, to) {
  if (from.length < 4) return null;
  const [source, target] = [normal(from), normal(to)];
  const sum = Array.from({ length: 8 }, () => new Array(9).fill(0));
  from.forEach((p, k) => {
    const [{ x, y }, { x: u, y: v }] = [source.to(p), target.to(to[k])];
    for (const [row, value] of [[[x, y, 1, 0, 0, 0, -u * x, -u * y], u], [[0, 0, 0, x, y, 1, -v * x, -v * y], v]])
      for (let i = 0; i < 8; i += 1) {
        for (let j = 0; j < 8; j += 1) sum[i][j] += row[i] * row[j];
        sum[i][8] += row[i] * value;
      }
  });
  const h = solve(sum);
  if (!h) return null;
  return (p) => {
    const { x, y } = source.to(p);
    const w = h[6] * x + h[7] * y + 1;
    return target.from({ x: (h[0] * x + h[1] * y + h[2]) / w, y: (h[3] * x + h[4] * y + h[5]) / w });
  };
}
