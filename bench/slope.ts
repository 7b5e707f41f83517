export interface Slope {
  /** Change of y for one of x. */
  readonly slope: number;
  /** Half the width of its 95 % confidence interval; infinite with fewer than three points. */
  readonly margin: number;
  readonly points: number;
}

/** A straight line by least squares. The interval takes the points as independent: give it means, not raw samples. */
export function leastSquares(points: readonly (readonly [x: number, y: number])[]): Slope {
  const n = points.length;
  const mean = (pick: (point: readonly [number, number]) => number) => points.reduce((sum, p) => sum + pick(p), 0) / n;
  const [mx, my] = [mean(([x]) => x), mean(([, y]) => y)];
  let [sxx, sxy, syy] = [0, 0, 0];
  for (const [x, y] of points) {
    sxx += (x - mx) ** 2;
    sxy += (x - mx) * (y - my);
    syy += (y - my) ** 2;
  }
  const slope = sxy / sxx;
  const rest = Math.max(0, syy - slope * sxy);
  return { slope, margin: n < 3 ? Infinity : student95(n - 2) * Math.sqrt(rest / (n - 2) / sxx), points: n };
}

/**
 * The two-sided 95 % point of Student's t: exact for one and two degrees of freedom, else by the expansion in 1/df of
 * Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 26.7.5; within 0.03 of it from three on.
 */
export function student95(df: number): number {
  if (df === 1) return 12.706;
  if (df === 2) return 4.303;
  const z = 1.959964;
  const g1 = (z ** 3 + z) / 4;
  const g2 = (5 * z ** 5 + 16 * z ** 3 + 3 * z) / 96;
  const g3 = (3 * z ** 7 + 19 * z ** 5 + 17 * z ** 3 - 15 * z) / 384;
  const g4 = (79 * z ** 9 + 776 * z ** 7 + 1482 * z ** 5 - 1920 * z ** 3 - 945 * z) / 92160;
  return z + g1 / df + g2 / df ** 2 + g3 / df ** 3 + g4 / df ** 4;
}

/** The mean of y over each full `width` of x, at the middle of it. */
export function blockMeans(points: readonly (readonly [x: number, y: number])[], width: number): [number, number][] {
  const blocks = new Map<number, number[]>();
  for (const [x, y] of points) {
    const block = Math.floor(x / width);
    const ys = blocks.get(block);
    if (ys === undefined) blocks.set(block, [y]);
    else ys.push(y);
  }
  const fullest = Math.max(0, ...[...blocks.values()].map(({ length }) => length));
  return [...blocks]
    .filter(([, ys]) => ys.length >= fullest / 2)
    .map(([block, ys]) => [(block + 0.5) * width, ys.reduce((sum, y) => sum + y, 0) / ys.length]);
}
