import { compileCondition } from '../conditions/compile.js';
import { facts } from '../facts.js';
import type { Condition } from '../model.js';
import { dutyFacts, keptFacts } from '../supply.js';
import { oneOf } from './diagnostic.js';
import { fault, within } from './spot.js';
import type { Spot } from './spot.js';

/**
 * A fact that comes with its event alone is never there at another: a check that listens to none of its events could not
 * be judged by it, ever (law L19). Facts that stay known are there at any event.
 * @param on the event types the check listens to.
 */
export function heard(spot: Spot, condition: Condition, on: readonly string[]): void {
  for (const name of compileCondition(condition).reads) {
    const known = facts.get(name);
    if (known === undefined || keptFacts.has(name)) continue;
    const at = { at: within(spot, name) };
    if (dutyFacts.has(name))
      fault(spot, 'not-evaluable-ever', `${name} is of duties, for their messages; no check knows it.`, at);
    else if (!known.fedBy.some((type) => on.includes(type)))
      fault(
        spot,
        'not-evaluable-ever',
        `${name} comes with ${oneOf(known.fedBy)} only; a check on ${oneOf(on)} could never be judged by it.`,
        at,
      );
  }
}
