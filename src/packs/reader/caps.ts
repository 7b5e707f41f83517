import { isMap, isSeq } from 'yaml';
import { entriesOf, itemsOf } from './decode.js';
import { fault } from './spot.js';
import type { Spot } from './spot.js';

/**
 * Caps of what a pack holds, so that judging by it and running its tests takes bounded steps: events times rules. The
 * largest shipped pack has 5 rules, 19 tests and 48 events of tests.
 */
export const contentCaps = {
  /** Of all kinds together. */
  rules: 100,
  limits: 200,
  charts: 50,
  rows: 1000,
  notKnown: 200,
  /** Variants of one message. */
  variants: 20,
  leaves: 50,
  /** Groups in one another. */
  groups: 12,
  testsOfARule: 30,
  tests: 500,
  eventsOfATest: 100,
  events: 2000,
} as const;

/** Record what a pack holds too much of. Looks at the file alone: what else is wrong with it does not matter here. */
export function withinCaps(root: Spot): void {
  const most = (spot: Spot, count: number, cap: number, things: string) => {
    if (count > cap) fault(spot, 'too-large', `${spot.name} has ${count} ${things}; the cap is ${cap}.`);
  };
  const capped = (spot: Spot | undefined, cap: number, things: string): Spot[] => {
    const items = listed(spot);
    if (spot !== undefined) most(spot, items.length, cap, things);
    return items.slice(0, cap);
  };

  capped(field(root, 'limits'), contentCaps.limits, 'limits');
  capped(field(root, 'notKnown'), contentCaps.notKnown, 'entries');
  for (const chart of capped(field(root, 'charts'), contentCaps.charts, 'charts'))
    capped(field(chart, 'rows'), contentCaps.rows, 'rows');

  const lists = ['checks', 'duties', 'trends', 'rates'].flatMap((name) => field(root, name) ?? []);
  const rules = lists.flatMap(listed);
  most(lists.at(-1) ?? root, rules.length, contentCaps.rules, 'rules of all kinds together');
  const tests = rules
    .slice(0, contentCaps.rules)
    .flatMap((rule) => {
      for (const name of ['when', 'clearedBy']) condition(field(rule, name));
      for (const variant of capped(field(rule, 'say'), contentCaps.variants, 'variants'))
        condition(field(variant, 'when'));
      return capped(field(rule, 'tests'), contentCaps.testsOfARule, 'tests');
    })
    .concat(listed(field(root, 'tests')));
  most(root, tests.length, contentCaps.tests, 'tests');
  const events = tests
    .slice(0, contentCaps.tests)
    .reduce((sum, test) => sum + capped(field(test, 'events'), contentCaps.eventsOfATest, 'events').length, 0);
  most(root, events, contentCaps.events, 'events in its tests');
}

/** Leaves and depth of one condition. */
function condition(spot: Spot | undefined): void {
  if (spot === undefined) return;
  let leaves = 0;
  let deepest = 0;
  const walk = (part: Spot, depth: number): void => {
    deepest = Math.max(deepest, depth);
    if (deepest > contentCaps.groups || leaves > contentCaps.leaves || !isMap(part.node)) return;
    const parts = ['all', 'any'].flatMap((name) => listed(field(part, name)));
    const negated = field(part, 'not');
    if (parts.length === 0 && negated === undefined) leaves += 1;
    for (const each of negated === undefined ? parts : [...parts, negated]) walk(each, depth + 1);
  };
  walk(spot, 0);
  if (deepest > contentCaps.groups)
    fault(spot, 'too-deep', `${spot.name} nests conditions more than ${contentCaps.groups} groups deep.`);
  else if (leaves > contentCaps.leaves)
    fault(spot, 'too-large', `${spot.name} has more than ${contentCaps.leaves} comparisons.`);
}

/** A field of a mapping, without a fault where there is none. */
function field(spot: Spot, name: string): Spot | undefined {
  return isMap(spot.node) ? entriesOf(spot)?.find((entry) => entry.key === name)?.value : undefined;
}

function listed(spot: Spot | undefined): Spot[] {
  return spot !== undefined && isSeq(spot.node) ? (itemsOf(spot) ?? []) : [];
}
