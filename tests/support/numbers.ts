import fc from 'fast-check';
import { Dice } from '../../src/cli/demo/random.js';

/** Whatever a caller may hand over for a number. */
export const wild = fc.oneof(fc.double(), fc.constantFrom(NaN, Infinity, -Infinity, -1, 0, 1e300, 0.5, 2 ** 53));

/** Every number in an answer, however deep. */
export function numbersIn(value: unknown): number[] {
  if (typeof value === 'number') return [value];
  return typeof value === 'object' && value !== null ? Object.values(value).flatMap(numbersIn) : [];
}

/** So many normal deviates, by Box and Muller from even dice. */
export function normals(count: number, seed: string): number[] {
  const dice = new Dice(seed);
  const even = () => dice.whole(1, 1_000_000) / 1_000_001;
  return Array.from({ length: count }, () => Math.sqrt(-2 * Math.log(even())) * Math.cos(2 * Math.PI * even()));
}
