import type { Said } from '../../packs/book.js';
import type { Duty, Limit } from '../../packs/model.js';
import { selects } from '../../packs/selector.js';
import { dueAfter } from '../calendar.js';
import type { Verdict } from '../finding.js';
import type { Moment } from '../moment.js';
import type { DutyState } from '../state.js';
import { sayDate, sayPeriod, sayTime } from '../words.js';

/** One layer's due instant for a duty, and who says so. */
export interface DueRung {
  readonly due: number;
  /** Absent: the duty's own period. */
  readonly limit?: Said<Limit>;
  readonly verdict: (at: number) => Verdict | undefined;
}

/**
 * The due instants of an `every` duty, earliest first: its own period, or each layer's period of its limit. Strictness
 * is compared here, on instants: two calendar months and 60 days come in either order.
 */
export function dueRungs(moment: Moment, duty: Said<Duty>, instance: DutyState): DueRung[] {
  const { cadence } = duty;
  if (cadence.kind !== 'every') return [];
  const start = instance.done?.at ?? instance.since;
  const zone = moment.site.zone;
  const rungs: DueRung[] = [];
  if (cadence.period !== undefined)
    rungs.push({ due: dueAfter(start, cadence.period, zone), verdict: () => undefined });
  for (const limit of cadence.limit === undefined ? [] : (moment.rules.limits.get(cadence.limit) ?? [])) {
    if (limit.max?.kind !== 'period' || !selects(limit.for, moment.scene)) continue;
    const { period } = limit.max;
    const due = dueAfter(start, period, zone);
    rungs.push({
      due,
      limit,
      verdict: (at) => ({
        limit: limit.id,
        pack: limit.pack.id,
        version: limit.pack.version,
        layer: limit.pack.layer,
        severity: limit.severity,
        side: 'max',
        bound: due,
        text: `${sayPeriod(period)}, through ${lastMoment(due, period.unit, zone)}`,
        // With nothing on record the age is not known, and unknown is never a breach.
        verdict: instance.done === null ? 'unknown' : due <= at ? 'broken' : 'met',
        citation: limit.citation,
      }),
    });
  }
  return rungs.sort((a, b) => a.due - b.due);
}

function lastMoment(due: number, unit: string, zone: string): string {
  return unit === 'h' || unit === 'min' ? sayTime(due, zone) : sayDate(due - 1, zone);
}

export function chainAt(rungs: readonly DueRung[], at: number): Verdict[] {
  return rungs.map(({ verdict }) => verdict(at)).filter((verdict) => verdict !== undefined);
}
