import { refuse, type Refusal } from '../refusal.js';

/** Why a quantity cannot be reckoned with: it is no number, or not above 0. */
export function notAbove0(values: Readonly<Record<string, number>>): Refusal | undefined {
  for (const [of, value] of Object.entries(values))
    if (!(Number.isFinite(value) && value > 0))
      return refuse('not-positive', of, `${of} is ${value}; it must be a number above 0.`);
  return undefined;
}

/** The same of each of a list, which must have so many. */
export function notAllAbove0(values: readonly number[], of: string, atLeast: number): Refusal | undefined {
  if (values.length < atLeast)
    return refuse('too-few', of, `${values.length} readings of ${of} are too few; it takes at least ${atLeast}.`);
  return notAbove0(Object.fromEntries(values.map((value, index) => [`${of}[${index}]`, value])));
}

/** Why a result is none: what came in was so large or so small that the arithmetic left the numbers behind. */
export function outOfReach(result: number, of: string): Refusal | undefined {
  if (Number.isFinite(result) && result > 0) return undefined;
  return refuse('out-of-reach', of, `${of} comes out beyond what can be reckoned; a quantity given is absurd.`);
}
