import type { Trend } from '../../packs/model.js';
import { isRefusal } from '../../refusal.js';
import { crossing, drift, type Crossing, type Drift } from '../../statistics/drift.js';
import { ewma } from '../../statistics/ewma.js';
import { individuals } from '../../statistics/individuals.js';
import { mean } from '../../statistics/input.js';
import { completed, type RunRule } from '../../statistics/run-rules.js';
import { judge } from '../ladder.js';
import type { Moment } from '../moment.js';
import type { Series } from '../state.js';
import { seriesOf } from './series.js';

/** What the facts `trend.*` are read from. Deviations in standard deviations, times in days from the latest reading. */
export interface TrendFigures {
  readonly readings: number;
  readonly signals?: readonly string[];
  readonly deviation?: number;
  readonly smoothed?: number;
  readonly direction?: 'rising' | 'falling' | 'level';
  readonly crosses?: boolean;
  readonly crossing?: number;
  readonly earliest?: number;
  readonly latest?: number;
}

/** A trend's chart of the readings that are kept; in the measure's canonical unit. */
export interface TrendChart {
  readonly centre: number;
  /** Standard deviation of a single reading from the centre. */
  readonly spread: number;
  /** Smoothed mean after each reading, and the standard deviation of the last. */
  readonly means: readonly number[];
  readonly meanSpread: number;
  readonly signals: readonly (RunRule | 'smoothed')[];
}

const day = 86_400_000;
/** Days; a crossing that may as well be years away is not foreseen. Our choice. */
const farthest = 90;
/** Limits of both charts, in standard deviations. */
const width = 3;

/** What a trend says at this moment, whose event brought the latest reading. */
export function trendOf(moment: Moment, trend: Trend): TrendFigures {
  const series = seriesOf(moment, trend.of);
  const readings = series?.readings ?? [];
  const value = readings.at(-1)?.[1];
  // What this event did not bring is no reading, though the fact may be known.
  if (series === undefined || value === undefined || moment.brought?.has(trend.of) !== true)
    return { readings: readings.length };
  const chart = chartOf(series, trend);
  if (chart === undefined) return { readings: readings.length };
  const line = driftOf(series, trend);
  return {
    readings: readings.length,
    signals: chart.signals,
    deviation: (value - chart.centre) / chart.spread,
    smoothed: ((chart.means.at(-1) ?? chart.centre) - chart.centre) / chart.meanSpread,
    direction: line?.isTold !== true ? 'level' : line.slope > 0 ? 'rising' : 'falling',
    ...forecastOf(moment, trend, line),
  };
}

/**
 * The chart by which the latest reading is judged: its limits come from the readings before it, so that it cannot widen
 * them itself. Undefined below the least number of readings.
 */
export function chartOf({ readings, setup }: Series, trend: Trend): TrendChart | undefined {
  const values = readings.map(([, value]) => value);
  if (values.length < trend.atLeast) return undefined;
  const before = values.slice(0, -1);
  const [centre, rests] = centreOf(trend, before, setup);
  const own = individuals(before, centre);
  if (isRefusal(own)) return undefined;
  const single = Math.max(own.spread, trend.leastSpread);
  const smoothed = ewma(values, { lambda: trend.smoothing, centre, spread: single });
  if (isRefusal(smoothed)) return undefined;
  // A centre that is itself the mean of a few readings is off by chance: that widens both limits.
  const spread = single * Math.sqrt(1 + 1 / rests);
  const meanSpread = Math.hypot(smoothed.spreads.at(-1) ?? single, single / Math.sqrt(rests));
  const now = completed(
    values.map((value) => (value - centre) / spread),
    ['beyond-3-sigma', ...trend.also],
  );
  const last = smoothed.means.at(-1) ?? centre;
  const drifts = Math.abs(last - centre) > width * meanSpread * (1 + 1e-9);
  return { centre, spread, means: smoothed.means, meanSpread, signals: drifts ? [...now, 'smoothed'] : now };
}

/** The aim, and on how many readings it rests; a given one is exact. */
function centreOf({ centre }: Trend, before: readonly number[], setup: readonly number[]): [number, number] {
  if (typeof centre === 'number') return [centre, Infinity];
  const from = centre === 'own' ? before : setup;
  return [mean(from), from.length];
}

/** The line through the readings since the bath was filled afresh, in days from the latest. */
export function driftOf({ readings, since }: Series, trend: Trend): Drift | undefined {
  const latest = readings.at(-1)?.[0] ?? 0;
  const own = readings.filter(([at]) => since === null || at >= since);
  const line = drift(
    own.map(([at, value]) => ({ time: (at - latest) / day, value })),
    { leastScatter: trend.leastSpread },
  );
  return isRefusal(line) ? undefined : line;
}

/** In whole days, as a person says it: the earliest rounded down, the latest up. */
function forecastOf(moment: Moment, trend: Trend, line: Drift | undefined): Partial<TrendFigures> {
  if (trend.forecast === undefined) return {};
  const foreseen = line === undefined ? undefined : nextCrossing(moment, trend, line);
  if (foreseen === undefined || foreseen.latest > farthest) return { crosses: false };
  return {
    crosses: foreseen.time <= trend.forecast.within,
    crossing: Math.round(foreseen.time),
    earliest: Math.floor(foreseen.earliest),
    latest: Math.ceil(foreseen.latest),
  };
}

/** The first bound of the forecast's limit that the line reaches; undefined where it reaches none. */
export function nextCrossing(moment: Moment, { forecast }: Trend, line: Drift): Crossing | undefined {
  const side = line.slope > 0 ? 'max' : 'min';
  return judge(moment, forecast?.limit ?? '')
    .filter((rung) => rung.side === side)
    .flatMap(({ bound }) => (bound === undefined ? [] : [crossing(line, bound, 0)]))
    .filter((found): found is Crossing => !isRefusal(found))
    .reduce<Crossing | undefined>(
      (first, each) => (first === undefined || each.time < first.time ? each : first),
      undefined,
    );
}
