import { same } from '../../events/units.js';
import { severities, type Bound, type Period, type Severity } from '../../packs/model.js';

/**
 * What a change does to those who are judged: `tighter` and `looser` where that is certain, `differs` where it depends
 * on the day or on another fact.
 */
export type Strictness = 'tighter' | 'looser' | 'differs';

/** Of one side of a limit; undefined when nothing changed. A side that is new is tighter, one that is gone looser. */
export function boundStrictness(
  side: 'min' | 'max',
  before: Bound | undefined,
  after: Bound | undefined,
): Strictness | undefined {
  if (before === undefined || after === undefined)
    return before === after ? undefined : before === undefined ? 'tighter' : 'looser';
  const rise = riseOf(before, after);
  if (rise === undefined) return 'differs';
  if (rise === 0) return undefined;
  return rise > 0 === (side === 'min') ? 'tighter' : 'looser';
}

/** 1 when the bound rises, -1 when it falls, 0 when it is the same; undefined when that cannot be said. */
function riseOf(before: Bound, after: Bound): number | undefined {
  if (before.kind === 'quantity' && after.kind === 'quantity')
    return sign(before.quantity.canonical, after.quantity.canonical);
  if (before.kind === 'period' && after.kind === 'period') return periodRise(before.period, after.period);
  if (before.kind === 'fact' && after.kind === 'fact' && before.fact === after.fact)
    return sign(before.times, after.times);
  if (before.kind === 'chart' && after.kind === 'chart' && before.chart === after.chart)
    return sign(before.plus?.canonical ?? 0, after.plus?.canonical ?? 0);
  return undefined;
}

const sign = (before: number, after: number) => (same(before, after) ? 0 : Math.sign(after - before));

const minutes: Readonly<Record<Period['unit'], readonly [number, number]>> = {
  min: [1, 1],
  h: [60, 60],
  d: [1440, 1440],
  wk: [7 * 1440, 7 * 1440],
  // Calendar months have 28 to 31 days: two of them are neither surely more nor surely less than 60 days.
  mo: [28 * 1440, 31 * 1440],
};

/** As `riseOf`; a longer period is a rise. */
export function periodRise(before: Period, after: Period): number | undefined {
  if (before.unit === after.unit) return Math.sign(after.count - before.count);
  const span = ({ count, unit }: Period) => [count * minutes[unit][0], count * minutes[unit][1]] as const;
  const [[least, most], [newLeast, newMost]] = [span(before), span(after)];
  if (least === most && newLeast === newMost && least === newLeast) return 0;
  if (newLeast > most) return 1;
  return newMost < least ? -1 : undefined;
}

export function severityStrictness(before: Severity, after: Severity): Strictness | undefined {
  const rise = severities.indexOf(after) - severities.indexOf(before);
  return rise === 0 ? undefined : rise > 0 ? 'tighter' : 'looser';
}
