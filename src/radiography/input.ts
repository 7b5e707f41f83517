import { refuse, type Refusal } from '../refusal.js';

/**
 * Quantities beyond these, in whichever unit, are slips of the hand. With them no product, quotient or square of a few
 * quantities leaves the numbers.
 */
const reach = { least: 1e-12, most: 1e12 } as const;

/** Why a quantity cannot be reckoned with: it is no number above 0, or absurdly small or large. */
export function notAbove0(values: Readonly<Record<string, number>>): Refusal | undefined {
  for (const [of, value] of Object.entries(values)) {
    if (!(Number.isFinite(value) && value > 0))
      return refuse('not-positive', of, `${of} is ${value}; it must be a number above 0.`);
    if (value < reach.least || value > reach.most)
      return refuse('out-of-reach', of, `${of} is ${value}; no such quantity is met in radiography.`);
  }
  return undefined;
}

/** The same of each of a list, which must have so many. */
export function notAllAbove0(values: readonly number[], of: string, atLeast: number): Refusal | undefined {
  if (values.length < atLeast)
    return refuse('too-few', of, `${values.length} readings of ${of} are too few; it takes at least ${atLeast}.`);
  return notAbove0(Object.fromEntries(values.map((value, index) => [`${of}[${index}]`, value])));
}
