import { same } from '../../events/units.js';
import { facts } from '../../packs/facts.js';
import { severities, type Bound, type Period, type Severity } from '../../packs/model.js';
import type { Bump } from './version.js';

/**
 * What a change does to those who are judged: `tighter` and `looser` where that is certain, `differs` where it depends
 * on the day or on another fact.
 */
export type Strictness = 'tighter' | 'looser' | 'differs';

/** What is looser lets pass what was told before: whoever relies on the old word must look, also where it only may be. */
export const asked = (strictness: Strictness): Bump => (strictness === 'tighter' ? 'minor' : 'major');

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
  if (before.kind === 'fact' && after.kind === 'fact' && before.fact === after.fact) {
    const rise = sign(before.times, after.times);
    // Twice as much of what may be below zero may be less.
    return rise === 0 || facts.get(before.fact)?.shown !== 'temperature' ? rise : undefined;
  }
  if (before.kind === 'chart' && after.kind === 'chart' && before.chart === after.chart)
    return sign(before.plus?.canonical ?? 0, after.plus?.canonical ?? 0);
  return undefined;
}

const sign = (before: number, after: number) => (same(before, after) ? 0 : Math.sign(after - before));

type Span = readonly [least: number, most: number];

/** Calendar months have 28 to 31 days: two of them are neither surely more nor surely less than 60 days. */
const days: Readonly<Partial<Record<Period['unit'], Span>>> = { d: [1, 1], wk: [7, 7], mo: [28, 31] };
const minutes: Readonly<Partial<Record<Period['unit'], number>>> = { min: 1, h: 60 };

/** As `riseOf`; a longer period is a rise. */
export function periodRise(before: Period, after: Period): number | undefined {
  if (before.unit === after.unit) return Math.sign(after.count - before.count);
  const inDays = [before, after].every(({ unit }) => unit in days);
  const [[least, most], [newLeast, newMost]] = inDays
    ? [inDaysOf(before), inDaysOf(after)]
    : [inMinutesOf(before), inMinutesOf(after)];
  if (least === most && newLeast === newMost && least === newLeast) return 0;
  if (newLeast > most) return 1;
  return newMost < least ? -1 : undefined;
}

function inDaysOf({ count, unit }: Period): Span {
  const [least, most] = days[unit] ?? [0, 0];
  return [count * least, count * most];
}

/**
 * A period of days ends with a day of the site, up to a day after so many hours have passed, and that day may have 23 or
 * 25 hours: 1 d is neither surely more nor surely less than 24 h.
 */
function inMinutesOf(period: Period): Span {
  const minute = minutes[period.unit];
  if (minute !== undefined) return [period.count * minute, period.count * minute];
  const [least, most] = inDaysOf(period);
  return [(24 * least - 1) * 60, (24 * (most + 1) + 1) * 60];
}

export function severityStrictness(before: Severity, after: Severity): Strictness | undefined {
  const rise = severities.indexOf(after) - severities.indexOf(before);
  return rise === 0 ? undefined : rise > 0 ? 'tighter' : 'looser';
}

/** Of a list of words that any of which will do, such as the lines a rule speaks of; undefined when it is the same. */
export function listStrictness(
  before: readonly unknown[],
  after: readonly unknown[],
  more: 'tighter' | 'looser',
): Strictness | undefined {
  const [old, now] = [before, after].map((list) => new Set(list.map((one) => JSON.stringify(one)))) as [
    Set<string>,
    Set<string>,
  ];
  const isMore = [...old].every((one) => now.has(one));
  const isLess = [...now].every((one) => old.has(one));
  if (isMore && isLess) return undefined;
  if (isMore) return more;
  return isLess ? (more === 'tighter' ? 'looser' : 'tighter') : 'differs';
}

/** Of several parts that each count: looser where one is, tighter only where all are; undefined when none changed. */
export function together(parts: readonly (Strictness | undefined)[]): Strictness | undefined {
  const changed = parts.filter((part) => part !== undefined);
  if (changed.length === 0) return undefined;
  if (changed.includes('looser')) return 'looser';
  return changed.every((part) => part === 'tighter') ? 'tighter' : 'differs';
}
