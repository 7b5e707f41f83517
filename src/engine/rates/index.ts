import { createHash } from 'node:crypto';
import type { RuleSet } from '../../packs/book.js';
import type { Rate } from '../../packs/model.js';
import { judgeCheck, ratesOf, type Probe } from '../checks.js';
import { sceneOf, type Moment } from '../moment.js';
import type { SiteState } from '../state.js';
import type { Touched } from '../touched.js';
import { strataOf } from './figures.js';

export { count } from './counts.js';

/**
 * The site-day ends at `at`: if it counted anything, every rate in force is judged over the window that ends with it
 * (law L15). What is found hangs on the last event that counted.
 */
export function endDay(state: SiteState, rules: RuleSet, at: number, touched: Touched, probe?: Probe): void {
  const { site, counted } = state;
  if (site === null || counted === null) return;
  state.counted = null;
  for (const one of ratesOf(rules)) {
    const { rate } = one.check;
    if (rate === undefined) continue;
    for (const { id, figures } of strataOf(state, rate)) {
      const tube = rate.per === 'tube' ? state.tubes[id] : undefined;
      const base = { at, state, site, rules, tube, anchor: counted, rate: figures };
      const moment: Moment = { ...base, scene: sceneOf(undefined), relied: new Map() };
      judgeCheck(moment, one, topicOf(rate, id), touched, probe);
    }
  }
}

/** A person's code is no topic, and no part of a finding: lists would rank people by it. */
function topicOf({ per }: Rate, id: string): string {
  if (per === 'site') return 'site';
  return per === 'tube' ? `tube:${id}` : `operator:${createHash('sha256').update(id).digest('hex').slice(0, 8)}`;
}
