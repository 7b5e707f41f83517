/** True, false, or undefined: not known, because a fact is missing (Kleene's third value). */
export type Tri = boolean | undefined;

/** What the ladder operators need of a judged limit: each rung's side and verdict on the value. */
export interface Rung {
  readonly side: 'min' | 'max';
  readonly verdict: 'broken' | 'met' | 'unknown';
}

/** Gives a fact's value by its dotted name, or a limit's ladder by `limit:<id>`; undefined when it is not known. */
export type Read = (name: string) => unknown;

/** The name under which a condition reads the ladder of a limit. */
export const ladderName = (limit: string): `limit:${string}` => `limit:${limit}`;
