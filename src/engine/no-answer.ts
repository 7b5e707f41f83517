import { atMost } from '../events/units.js';
import type { Said } from '../packs/book.js';
import { lookUp } from '../packs/chart.js';
import type { Chart } from '../packs/model.js';
import { selects } from '../packs/selector.js';
import { readFact } from './facts/index.js';
import type { Verdict } from './finding.js';
import { chartsAsked } from './ladder.js';
import type { Moment } from './moment.js';
import type { NoAnswer } from './state.js';

/**
 * The charts of a limit that left it open although every fact was there: the value to look up lies outside their rows, or
 * where they have no answer (law L9: nothing is read between or beyond what is written), or the chart that the limit
 * names is not in force here.
 * @param ladder the limit as it was judged at this moment; only rungs that are not known are looked at.
 */
export function noAnswers(moment: Moment, limitId: string, ladder: readonly Verdict[]): NoAnswer[] {
  const found: NoAnswer[] = [];
  for (const limit of moment.rules.limits.get(limitId) ?? []) {
    if (!selects(limit.for, moment.scene) || readFact(moment, limit.of) === undefined) continue;
    for (const side of ['min', 'max'] as const) {
      const bound = limit[side];
      const isOpen = ladder.some(
        (rung) => rung.pack === limit.pack.id && rung.side === side && rung.verdict === 'unknown',
      );
      if (bound?.kind !== 'chart' || !isOpen) continue;
      const whose = { limit: limit.id, pack: limit.pack.id, side };
      for (const chart of chartsAsked(moment, limit, bound.chart)) {
        if (chart === undefined) {
          found.push({ ...whose, chart: bound.chart, why: 'notInForce' });
          continue;
        }
        const why = silence(moment, chart);
        if (why !== undefined) found.push({ ...whose, chart: chart.title, by: chart.by, ...why });
      }
    }
  }
  return found;
}

/** Why a chart has no answer at the values of this moment; undefined where it has one, or where they are not known. */
export function silence(moment: Moment, chart: Said<Chart>): Pick<NoAnswer, 'key' | 'why'> | undefined {
  const key = readFact(moment, chart.by);
  if (typeof key !== 'number') return undefined;
  const second = chart.and === undefined ? undefined : readFact(moment, chart.and);
  // A second fact that is not there is missing, which is another matter.
  if (chart.and !== undefined && typeof second !== 'number') return undefined;
  if (lookUp(chart, key, second as number | undefined) !== undefined) return undefined;
  const [first, last] = [chart.rows[0], chart.rows.at(-1)];
  const written = [...chart.doubtful, ...chart.rows.map((row) => row.key)];
  if (first === undefined || last === undefined || !atMost(Math.min(...written), key)) return { key, why: 'below' };
  if (!atMost(key, Math.max(...written))) return { key, why: 'above' };
  return { key, why: 'gap' };
}
