import { z } from 'zod';
import { atLeast, atMost, canonicalUnit, toCanonical, unitsOf } from './units.js';
import type { Dimension, UnitOf } from './units.js';

/** A quantity as written in an event: 70 [degF]. */
export interface SentQuantity<D extends Dimension = Dimension> {
  value: number;
  unit: UnitOf<D>;
}

/** Lowest and highest value that can be meant, in the canonical unit; a value at an end is in. */
export interface Span {
  readonly min: number;
  readonly max: number;
}

/** `{ value, unit }` of one dimension within a span: wide enough for any real reading, narrow enough for slips. */
export function quantity<D extends Dimension>(dimension: D, span: Span, example?: SentQuantity<D>) {
  const units = unitsOf(dimension);
  const shown = example ?? { value: span.max, unit: units[0] };
  return z
    .strictObject({ value: z.number(), unit: z.enum(units as [UnitOf<D>, ...UnitOf<D>[]]) })
    .refine(
      ({ value, unit }) => {
        const canonical = toCanonical(value, unit);
        return atLeast(canonical, span.min) && atMost(canonical, span.max);
      },
      { error: `must be ${spanText(dimension, span)}`, path: ['value'], params: { code: 'out-of-range' } },
    )
    .meta({ description: `${words[dimension]}, ${spanText(dimension, span)}`, example: shown });
}

/** A number without a unit: written plainly, or as a quantity of unit "1". */
export function plainNumber(span: Span, what: string, example: number) {
  const text = `must be from ${span.min} to ${span.max}`;
  return z
    .union([
      z.number().min(span.min, { error: text }).max(span.max, { error: text }),
      quantity('number', span, { value: example, unit: '1' }),
    ])
    .meta({ description: `${what}: a plain number, or a quantity of unit "1"`, example });
}

const words: Record<Dimension, string> = {
  temperature: 'A temperature',
  temperatureDifference: 'A difference of temperatures',
  time: 'A time',
  length: 'A length',
  area: 'An area',
  volume: 'A volume',
  mass: 'A mass',
  voltage: 'A tube voltage',
  current: 'A tube current',
  charge: 'A tube current times time',
  kerma: 'An air kerma',
  exposure: 'An exposure',
  power: 'A power',
  number: 'A number',
  percent: 'A percentage',
};

function spanText(dimension: Dimension, { min, max }: Span): string {
  const fahrenheit =
    dimension === 'temperature'
      ? ` (${Math.round((min * 9) / 5 + 32)} to ${Math.round((max * 9) / 5 + 32)} [degF])`
      : '';
  return `from ${min} to ${max} ${canonicalUnit(dimension)}${fahrenheit}`;
}
