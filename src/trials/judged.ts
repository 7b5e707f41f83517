import type { Probe } from '../engine/checks.js';
import type { SiteState } from '../engine/state.js';
import type { Rule } from '../packs/model.js';
import { oneOf } from '../packs/reader/diagnostic.js';
import { effective } from './fold-site.js';
import type { Staged } from './rule-tests.js';

/** Which rules a test comes to: a rule that it never asks is silent whatever it says. */
export class Judged {
  readonly #rules = new Set<string>();
  #steps = 0;

  has(rule: string): boolean {
    return this.#rules.has(rule);
  }

  /** A check is judged where an event is heard on a line it speaks of, also where it could not be answered. */
  readonly probe: Probe = ({ check }) => {
    this.#rules.add(check.id);
  };

  /** After each event, and when time was advanced: the first event sets the site up, and no duty has had its time yet. */
  readonly look = ({ duties }: SiteState): void => {
    if (this.#steps++ > 0) for (const { rule } of Object.values(duties)) this.#rules.add(rule);
  };
}

/**
 * Why the silence of a rule in a test shows nothing, as a sentence; undefined where it shows something. That a check passes
 * over an event that it hears, on a line that it does not speak of, is worth a test.
 */
export function vacuous(rule: Rule, judged: Judged, { events, until = Infinity }: Staged): string | undefined {
  if (judged.has(rule.id)) return undefined;
  if (rule.kind === 'duty')
    return `${rule.id} never began: the site of the test has nothing that it is owed for, or the test ends before.`;
  if (rule.rate !== undefined)
    return `${rule.id} was never judged: no site-day ends in the test, or none that counted an exposure, a reject or a tally.`;
  if (effective(events).some(({ at, type }) => at <= until && rule.on.includes(type))) return undefined;
  return `${rule.id} was never judged: the test sends nothing that it hears (${oneOf(rule.on)}), or ends before.`;
}
