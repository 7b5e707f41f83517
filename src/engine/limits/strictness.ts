import type { Said } from '../../packs/book.js';
import { bindingLayers, severities, type Bound, type Layer, type Limit } from '../../packs/model.js';
import {
  clash,
  constant,
  covers,
  curveOf,
  either,
  isNeverShorter,
  isNoStricter,
  isNoStricterMultiple,
} from '../../packs/strictness.js';
import type { Budget, Curve, Side } from '../../packs/strictness.js';
import { dueAfter } from '../calendar.js';
import { readFact } from '../facts/index.js';
import { makersChart } from '../makers-chart.js';
import type { Moment } from '../moment.js';
import { boundText } from './bounds.js';
import type { Counted, NoEffect } from './effective.js';

/** Binding layers first; beside them what an office did not choose; last what it did. */
export const layerOrder: readonly Layer[] = [...bindingLayers, 'maker', 'practice', 'clinic'];
const group = (layer: Layer) => (bindingLayers.includes(layer) ? 0 : layer === 'clinic' ? 2 : 1);

/** Stricter ones among which the strictest is looked for. */
const mostLayers = 20;

/**
 * The sides of a limit on which it changes nothing at this moment, since another of at least its weight is as strict or
 * stricter wherever it has an answer. Strictness is compared on resolved values (law L7): on due instants, on what charts
 * give. Where it cannot be told, nothing is said.
 */
export function idleSides(
  moment: Moment,
  limit: Said<Limit>,
  ladder: readonly Said<Limit>[],
  budget: Budget,
): NoEffect[] {
  return (['min', 'max'] as const).flatMap((side): NoEffect[] => {
    const stricter = ladder
      .filter((other) => outdoes(moment, side, other, limit, budget))
      .sort((a, b) => layerOrder.indexOf(a.pack.layer) - layerOrder.indexOf(b.pack.layer));
    // Of several the strictest is named: the one that none of the others outdoes.
    const few = stricter.slice(0, mostLayers);
    const named = few.find((one) => !few.some((other) => outdoes(moment, side, other, one, budget))) ?? few[0];
    const bound = named?.[side];
    if (named === undefined || bound === undefined) return [];
    const { pack, citation } = named;
    return [
      {
        side,
        ...{ pack: pack.id, layer: pack.layer, authority: pack.authority, citation },
        text: boundText(moment, named, bound).text,
        same: isAsStrict(moment, side, limit, named, budget),
        counted: countedFrom(moment, side, named, [limit]),
      },
    ];
  });
}

interface StrictestOf {
  readonly side: Side;
  readonly bath?: string;
  readonly counted?: Counted | undefined;
  readonly limit: Said<Limit>;
}

/**
 * On each side the limit that is nowhere looser than the others, where there is one: for each bath by itself, where one of
 * them speaks of single baths, and of those only where another speaks of that bath too.
 */
export function strictestOf(moment: Moment, ladder: readonly Said<Limit>[], budget: Budget): StrictestOf[] {
  return (['min', 'max'] as const).flatMap((side): StrictestOf[] => {
    const speaking = ladder
      .filter((limit) => limit[side] !== undefined)
      .sort((a, b) => layerOrder.indexOf(a.pack.layer) - layerOrder.indexOf(b.pack.layer));
    const named = new Set(speaking.flatMap((limit) => limit.for.bath ?? []));
    if (named.size < 2 && speaking.every((limit) => limit.for.bath?.length === speaking[0]?.for.bath?.length)) {
      const limit = firstAmong(moment, side, speaking, budget);
      return limit === undefined ? [] : [{ side, limit, counted: countedFrom(moment, side, limit, speaking) }];
    }
    const isOfAny = speaking.some((limit) => limit.for.bath === undefined);
    return [...new Set([...named, ...(isOfAny ? both : [])])].flatMap((bath) => {
      const ofBath = speaking.filter((limit) => limit.for.bath?.includes(bath) ?? true);
      const limit = ofBath.length < 2 ? undefined : firstAmong(moment, side, ofBath, budget);
      return limit === undefined ? [] : [{ side, bath, limit, counted: countedFrom(moment, side, limit, ofBath) }];
    });
  });
}

function firstAmong(
  moment: Moment,
  side: Side,
  limits: readonly Said<Limit>[],
  budget: Budget,
): Said<Limit> | undefined {
  return limits.find((one) => limits.every((other) => other === one || isAsStrict(moment, side, one, other, budget)));
}

/** Whether what breaks `limit` on a side breaks `other` too, with at least the same weight. */
function outdoes(moment: Moment, side: Side, other: Said<Limit>, limit: Said<Limit>, budget: Budget): boolean {
  if (other === limit || other[side] === undefined || limit[side] === undefined) return false;
  const [mine, theirs] = [group(limit.pack.layer), group(other.pack.layer)];
  if (theirs > mine || severities.indexOf(other.severity) < severities.indexOf(limit.severity)) return false;
  if (!covers({ bath: other.for.bath }, { bath: limit.for.bath })) return false;
  if (!isAsStrict(moment, side, other, limit, budget)) return false;
  // Of two alike in kind that ask for the same, neither takes the other's place.
  return theirs < mine || !isAsStrict(moment, side, limit, other, budget);
}

/** Whether `one` is nowhere looser than `other`. */
function isAsStrict(moment: Moment, side: Side, one: Said<Limit>, other: Said<Limit>, budget: Budget): boolean {
  const [a, b] = [one[side], other[side]];
  if (a === undefined || b === undefined || one.of !== other.of || !budget.spend(1)) return false;
  if (isEitherRange(moment, other)) return false;
  if (a.kind === 'fact' && b.kind === 'fact' && a.fact === b.fact) return isNoStricterMultiple(side, b.times, a.times);
  if ((a.kind === 'period') !== (b.kind === 'period')) return false;
  return startsOf(moment, other).every((start) => {
    const [strict, loose] = [curve(moment, one, side, a, start), curve(moment, other, side, b, start)];
    return strict !== undefined && loose !== undefined && isNoStricter(side, loose, strict, budget);
  });
}

/**
 * A range that either of two charts satisfies: what keeps to neither may still lie between the one's least and the other's
 * most, so no single side tells what it forbids.
 */
function isEitherRange(moment: Moment, { id, min, max, role }: Said<Limit>): boolean {
  if (role !== 'alternative' || min?.kind !== 'chart' || max?.kind !== 'chart') return false;
  return makersChart(moment, moment.rules.charts.get(min.chart)?.answers ?? id) !== undefined;
}

/** From which day it was counted that one is the stricter, where it is not so from every day. */
function countedFrom(
  moment: Moment,
  side: Side,
  strict: Said<Limit>,
  others: readonly Said<Limit>[],
): Counted | undefined {
  const mine = strict[side];
  const open = others.find((other) => {
    const theirs = other[side];
    return mine?.kind === 'period' && theirs?.kind === 'period' && !isNeverShorter(theirs.period, mine.period);
  });
  return open === undefined ? undefined : fillsOf(moment, open).length > 0 ? 'fills' : 'day';
}

/** From when an age is counted: the present fills of the line, or, with none on record, now. */
function startsOf(moment: Moment, limit: Said<Limit>): number[] {
  const fills = fillsOf(moment, limit);
  return fills.length > 0 ? fills : [moment.at];
}

function fillsOf({ line }: Moment, { of, for: { bath } }: Said<Limit>): number[] {
  const baths = bath ?? (of.startsWith('fixer.') ? ['fixer'] : of.startsWith('developer.') ? ['developer'] : both);
  return baths.flatMap((name) => line?.baths[name]?.fill?.ref.at ?? []);
}
const both = ['developer', 'fixer'];

/** What a bound comes to at this moment; undefined where that cannot be said. */
function curve(moment: Moment, limit: Said<Limit>, side: Side, bound: Bound, start: number): Curve | undefined {
  switch (bound.kind) {
    case 'quantity':
      return constant(bound.quantity.canonical);
    case 'period':
      return constant(dueAfter(start, bound.period, moment.site.zone));
    case 'fact': {
      const value = readFact(moment, bound.fact);
      return typeof value === 'number' ? constant(value * bound.times) : undefined;
    }
    case 'chart': {
      const own = moment.rules.charts.get(bound.chart);
      if (own === undefined) return undefined;
      const plus = bound.plus?.canonical ?? 0;
      const sheet = limit.role === undefined ? undefined : makersChart(moment, own.answers);
      if (sheet === undefined) return curveOf(own, plus);
      return limit.role === 'fallback' ? curveOf(sheet, plus) : either(side, curveOf(sheet, plus), curveOf(own, plus));
    }
  }
}

/**
 * The first two limits that cannot both be kept: one's least is above the other's most, everywhere or at some reading.
 * Two that stand beside the law are let be; the law and the office's own are not.
 */
export function conflictIn(
  moment: Moment,
  ladder: readonly Said<Limit>[],
  budget: Budget,
): { readonly low: Said<Limit>; readonly high: Said<Limit>; readonly keys: readonly number[] } | undefined {
  for (const low of ladder)
    for (const high of ladder) {
      const { min } = low;
      const { max } = high;
      if (min === undefined || max === undefined || min.kind === 'period' || max.kind === 'period') continue;
      if (low !== high && group(low.pack.layer) === 1 && group(high.pack.layer) === 1) continue;
      if (!budget.spend(1)) return undefined;
      const sameBath = covers({ bath: low.for.bath }, { bath: high.for.bath });
      if (!sameBath && !covers({ bath: high.for.bath }, { bath: low.for.bath })) continue;
      const [least, most] = [curve(moment, low, 'min', min, moment.at), curve(moment, high, 'max', max, moment.at)];
      const keys = least && most && clash(least, most, budget);
      if (keys !== undefined) return { low, high, keys };
    }
  return undefined;
}
