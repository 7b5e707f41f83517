import { dimensionOf, dimensions, toCanonical, unitMeant, unitsOf } from '../../events/units.js';

const known: readonly string[] = dimensions.flatMap((dimension) => unitsOf(dimension));

/** The unit that was probably meant, as an addition to a fault. */
export function unitNear(code: string): { nearest?: string } {
  const meant = unitMeant(code, known);
  return meant === undefined ? {} : { nearest: meant };
}

/**
 * Whether a value in unit `a` can be held against a fact in unit `b`. A fact in K is a difference of temperatures, so
 * any temperature unit measures it: an allowance of 1 [degF] is as long as 5/9 K.
 */
export function sameDimension(a: string, b: string): boolean {
  const dimension = dimensionOf(a);
  return dimension !== undefined && (dimension === dimensionOf(b) || (b === 'K' && dimension === 'temperature'));
}

/**
 * A quantity as a number in another unit of its dimension. Facts in days stay days, whatever the canonical unit of time
 * is. A `span` is a difference: the zeros of the scales do not count, 9 [degF] are 5 Cel.
 */
export function inUnitOf(unit: string, quantity: { value: number; unit: string }, use: 'reading' | 'span'): number {
  if (quantity.unit === unit) return quantity.value;
  const scale = unit === 'K' ? 'Cel' : unit;
  const isSpan = use === 'span' || unit === 'K';
  const value = toCanonical(quantity.value, quantity.unit) - (isSpan ? toCanonical(0, quantity.unit) : 0);
  const zero = toCanonical(0, scale);
  const one = toCanonical(1, scale) - zero;
  return isSpan ? value / one : (value - zero) / one;
}

/** Whether values in one unit can stand beside values in the other; undefined is whole numbers. Days are counted, not measured. */
export const fits = (a: string | undefined, b: string | undefined) =>
  a === b || (a !== undefined && b !== undefined && sameDimension(a, b) && a !== 'd' && b !== 'd');
