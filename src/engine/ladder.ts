import { atLeast, atMost } from '../events/units.js';
import type { Said } from '../packs/book.js';
import { lookUp } from '../packs/chart.js';
import { severities, type Bound, type Chart, type Limit } from '../packs/model.js';
import { selects } from '../packs/selector.js';
import { readFact } from './facts/index.js';
import type { Verdict } from './finding.js';
import { makersChart } from './makers-chart.js';
import type { Moment } from './moment.js';
import { sayAllowance, sayFact, sayPeriod, sayQuantity, sayTimes } from './words.js';

/**
 * Judge a value by every rung of a limit that speaks of this line and bath. Each rung stands for itself: binding layers
 * thereby intersect, practice stands beside the law at its own severity, and a looser clinic rung never adds anything.
 * Period bounds are due instants, not values; the duties room judges those.
 */
export function judge(moment: Moment, limitId: string): Verdict[] {
  const verdicts: Verdict[] = [];
  for (const limit of moment.rules.limits.get(limitId) ?? []) verdicts.push(...rungsOf(moment, limit));
  return verdicts;
}

/** The rungs of one limit, lower side first; none where it does not speak of this line and bath. */
export function rungsOf(moment: Moment, limit: Said<Limit>): Verdict[] {
  if (!selects(limit.for, moment.scene)) return [];
  const value = readFact(moment, limit.of);
  const sides = (['min', 'max'] as const).flatMap((side) => {
    const bound = limit[side];
    return bound === undefined ? [] : [{ side, bound, options: resolve(moment, limit, bound) }];
  });
  const only = sides.length > 1 ? oneChart(sides, value) : undefined;
  return sides.map(({ side, bound, options }) =>
    rung(moment, limit, side, bound, only === undefined ? options : options.slice(only, only + 1), value),
  );
}

/**
 * Two sides by an alternative chart: a value keeps to the one chart or to the other, never to the lower side of the one
 * and the upper side of the other. The chart that it keeps to, when there is one, is asked on both sides.
 * @returns which of the options on both sides; undefined where each side has one only.
 */
function oneChart(
  sides: readonly { readonly side: 'min' | 'max'; readonly options: readonly Resolved[] }[],
  value: unknown,
): number | undefined {
  const count = sides[0]?.options.length ?? 0;
  if (count < 2 || sides.some(({ options }) => options.length !== count)) return undefined;
  const verdicts = Array.from({ length: count }, (_, index) =>
    sides.map(({ side, options }) => verdictOf(side, options[index]?.value, value)),
  );
  const kept = verdicts.findIndex((each) => each.every((verdict) => verdict === 'met'));
  const open = verdicts.findIndex((each) => each.includes('unknown') && !each.includes('broken'));
  return kept >= 0 ? kept : open >= 0 ? open : 0;
}

/** A bound as it came out: its value, and the chart that gave it. */
export interface Resolved {
  readonly value?: number;
  readonly chart?: Said<Chart>;
}

function rung(
  moment: Moment,
  limit: Said<Limit>,
  side: 'min' | 'max',
  bound: Bound,
  options: readonly Resolved[],
  value: unknown,
): Verdict {
  const judged = options.map((option) => ({ option, verdict: verdictOf(side, option.value, value) }));
  // Either chart satisfies an alternative; the answer names the one that did, else the maker's sheet, which comes first.
  const chosen = judged.find(({ verdict }) => verdict === 'met') ??
    judged[0] ?? { option: {}, verdict: 'unknown' as const };
  const unsettled = chosen.verdict === 'broken' && judged.some(({ verdict }) => verdict === 'unknown');
  const resolved = chosen.option.value;
  return {
    limit: limit.id,
    pack: limit.pack.id,
    version: limit.pack.version,
    layer: limit.pack.layer,
    severity: limit.severity,
    side,
    bound: resolved,
    text: resolved === undefined ? sayBound(limit.of, bound) : (sayFact(limit.of, resolved, moment.site.zone) ?? ''),
    chart: chosen.option.chart?.title,
    verdict: unsettled ? 'unknown' : chosen.verdict,
    citation:
      chosen.option.chart !== undefined && chosen.option.chart.pack !== limit.pack
        ? chosen.option.chart.citation
        : limit.citation,
  };
}

function verdictOf(side: 'min' | 'max', bound: number | undefined, value: unknown): Verdict['verdict'] {
  if (bound === undefined || typeof value !== 'number' || Number.isNaN(value)) return 'unknown';
  return (side === 'min' ? atLeast(value, bound) : atMost(value, bound)) ? 'met' : 'broken';
}

/** The values a bound can take here: one, or two where a maker's sheet is an alternative to the law's own chart. */
export function resolve(moment: Moment, limit: Said<Limit>, bound: Bound): Resolved[] {
  switch (bound.kind) {
    case 'quantity':
      return [{ value: bound.quantity.canonical }];
    case 'fact': {
      const value = readFact(moment, bound.fact);
      return [{ value: typeof value === 'number' ? value * bound.times : undefined }];
    }
    case 'period':
      return [];
    case 'chart': {
      return chartsAsked(moment, limit, bound.chart).map((chart) => ({
        chart,
        value: fromChart(moment, chart, bound.plus?.canonical ?? 0),
      }));
    }
  }
}

/**
 * The charts that a bound is looked up in here: its own, the maker's sheet on file in its place, or either of the two,
 * the sheet first. Undefined stands for its own where that is not in force at the site.
 */
export function chartsAsked(moment: Moment, limit: Said<Limit>, chart: string): readonly (Said<Chart> | undefined)[] {
  const own = moment.rules.charts.get(chart);
  const sheet = limit.role === undefined ? undefined : makersChart(moment, own?.answers ?? limit.id);
  return sheet === undefined ? [own] : limit.role === 'fallback' ? [sheet] : [sheet, own];
}

function fromChart(moment: Moment, chart: Said<Chart> | undefined, plus: number): number | undefined {
  if (chart === undefined) return undefined;
  const key = readFact(moment, chart.by);
  const and = chart.and === undefined ? undefined : readFact(moment, chart.and);
  if (typeof key !== 'number' || (and !== undefined && typeof and !== 'number')) return undefined;
  const value = lookUp(chart, key, and);
  return value === undefined ? undefined : value + plus;
}

function sayBound(of: string, bound: Bound): string {
  switch (bound.kind) {
    case 'quantity':
      return sayQuantity(bound.quantity);
    case 'period':
      return sayPeriod(bound.period);
    case 'chart':
      return `by the chart${sayAllowance(of, bound.plus?.canonical)}`;
    case 'fact':
      return sayTimes(bound);
  }
}

/**
 * The facts a limit still lacks at this moment: why a rung had no answer.
 */
export function missingFor(moment: Moment, limitId: string): string[] {
  const missing = new Set<string>();
  const need = (fact: string) => {
    if (readFact(moment, fact) === undefined) missing.add(fact);
  };
  for (const limit of moment.rules.limits.get(limitId) ?? []) {
    if (!selects(limit.for, moment.scene)) continue;
    need(limit.of);
    for (const bound of [limit.min, limit.max]) {
      if (bound?.kind === 'fact') need(bound.fact);
      if (bound?.kind !== 'chart') continue;
      for (const chart of chartsAsked(moment, limit, bound.chart)) {
        if (chart !== undefined) need(chart.by);
        if (chart?.and !== undefined) need(chart.and);
      }
    }
  }
  return [...missing];
}

/** The broken bound that a message names: the one of the highest severity, and of those the strictest. */
export function namedBound(verdicts: readonly Verdict[], limitId: string): Verdict | undefined {
  const broken = verdicts.filter((verdict) => verdict.limit === limitId && verdict.verdict === 'broken');
  return broken.reduce<Verdict | undefined>((named, verdict) => {
    if (named === undefined) return verdict;
    const rank = severities.indexOf(verdict.severity) - severities.indexOf(named.severity);
    if (rank !== 0) return rank > 0 ? verdict : named;
    if (named.bound === undefined || verdict.bound === undefined) return named;
    const stricter = verdict.side === 'min' ? verdict.bound > named.bound : verdict.bound < named.bound;
    return stricter ? verdict : named;
  }, undefined);
}

/** The bound of a limit that was not broken, when a message names it beside one that was: the first with an answer. */
export function standingBound(moment: Moment, limitId: string): Verdict | undefined {
  return judge(moment, limitId).find(({ bound }) => bound !== undefined);
}
