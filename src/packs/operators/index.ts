import { atLeast, atMost, same } from '../../events/units.js';
import type { Rung, Tri } from '../conditions/types.js';
import type { OperatorName } from '../model.js';

/**
 * How each operator compares a fact with the value beside it. One table for both evaluators, so that they cannot drift
 * apart. Numbers forgive binary fractions (1e-9 of the scale): a reading exactly at a limit is within it. Undefined is
 * not known: a missing value, or a value of a kind that the operator cannot compare.
 */
export type Compare = (fact: unknown, value: unknown) => Tri;

const equal: Compare = (fact, value) => {
  if (fact === undefined || value === undefined) return undefined;
  return typeof fact === 'number' && typeof value === 'number' ? same(fact, value) : fact === value;
};

const isIn: Compare = (fact, value) =>
  fact === undefined || !Array.isArray(value) ? undefined : value.some((each: unknown) => equal(fact, each) === true);

const contains: Compare = (fact, value) => {
  if (value === undefined) return undefined;
  if (typeof fact === 'string') return typeof value === 'string' ? fact.includes(value) : undefined;
  return Array.isArray(fact) ? fact.some((each: unknown) => equal(each, value) === true) : undefined;
};

const ordered =
  (holds: (a: number, b: number) => boolean): Compare =>
  (fact, value) =>
    typeof fact === 'number' && typeof value === 'number' && !Number.isNaN(fact) && !Number.isNaN(value)
      ? holds(fact, value)
      : undefined;

const not =
  (compare: Compare): Compare =>
  (fact, value) => {
    const result = compare(fact, value);
    return result === undefined ? undefined : !result;
  };

/**
 * Whether a value breaks a ladder on these sides: one broken rung decides; else one unknown rung, or no rung at all,
 * leaves it open.
 */
function breaks(counts: (rung: Rung) => boolean): Compare {
  return (fact, ladder) => {
    if (fact === undefined || !Array.isArray(ladder)) return undefined;
    let result: Tri;
    let open = false;
    for (let index = 0; index < ladder.length; index++) {
      const rung = ladder[index] as Rung;
      if (!counts(rung)) continue;
      if (rung.verdict === 'broken') return true;
      if (rung.verdict === 'unknown') open = true;
      else result = false;
    }
    return open ? undefined : result;
  };
}

export const operators: Readonly<Record<OperatorName, Compare>> = {
  equal,
  notEqual: not(equal),
  in: isIn,
  notIn: not(isIn),
  contains,
  doesNotContain: not(contains),
  lessThan: ordered((a, b) => !atLeast(a, b)),
  lessThanInclusive: ordered(atMost),
  greaterThan: ordered((a, b) => !atMost(a, b)),
  greaterThanInclusive: ordered(atLeast),
  below: breaks((rung) => rung.side === 'min'),
  above: breaks((rung) => rung.side === 'max'),
  outside: breaks(() => true),
};
