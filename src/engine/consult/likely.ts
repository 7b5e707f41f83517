import type { CausesAnswer, RankedCause } from './causes.js';

/** Words on the board for a probability; the numbers are one touch deeper. */
export const likelihoodWord = (probability: number) =>
  probability >= 0.5 ? ('likely' as const) : probability >= possible ? ('possible' as const) : ('unlikely' as const);

const possible = 0.15;

/** The leading cause; undefined where it is likelier that nobody knows. */
export function leadingOf({ causes, unknown }: CausesAnswer): RankedCause | undefined {
  const [first] = causes;
  return first === undefined || unknown >= first.probability ? undefined : first;
}

/** The others that are possible, as the end of a sentence; nothing for none. */
export function othersOf({ causes }: CausesAnswer): string {
  const others = causes.slice(1).filter(({ probability }) => probability >= possible);
  return others.length === 0 ? '' : `; possible: ${others.map(({ cause }) => lower(cause.title)).join(', ')}`;
}

export const lower = (title: string) => `${title.slice(0, 1).toLowerCase()}${title.slice(1)}`;
