import type { PackBook } from '../../packs/book.js';
import { facts } from '../../packs/facts.js';
import { measures, type Measure } from '../../packs/measures.js';
import type { Check, Trend } from '../../packs/model.js';
import { selects } from '../../packs/selector.js';
import { sceneOf, type Moment } from '../moment.js';
import type { Series, SiteState } from '../state.js';
import { chartOf, driftOf, nextCrossing } from './figures.js';
import { seriesKey } from './series.js';

/** A measure of one line or unit over time. Values in the measure's unit, instants in ms, times ahead in days. */
export interface MeasureView {
  readonly measure: string;
  readonly title: string;
  /** UCUM. */
  readonly unit: string;
  readonly line?: string;
  readonly tube?: string;
  /** The trend in force whose chart this is; absent: none follows the measure here. */
  readonly rule?: string;
  /** Absent while there are too few readings. */
  readonly centre?: number;
  readonly low?: number;
  readonly high?: number;
  readonly readings: readonly MeasureReading[];
  readonly forecast?: {
    readonly limit: string;
    readonly days: number;
    readonly earliest: number;
    readonly latest: number;
  };
}

export interface MeasureReading {
  readonly at: number;
  readonly value: number;
  /** Smoothed mean, and what the trend signalled, as it was judged at that reading. */
  readonly smoothed?: number;
  readonly signals: readonly string[];
}

/** A measure on every line, or unit, that has readings of it by an instant; undefined for no measure of that name. */
export function measureAt(state: SiteState, name: string, at: number, book: PackBook): MeasureView[] | undefined {
  const measure = measures.get(name);
  const { site } = state;
  if (measure === undefined || site === null) return undefined;
  const rules = book.at(at, site);
  const things = measure.per === 'line' ? Object.values(state.lines) : Object.values(state.tubes);
  return things.flatMap((thing) => {
    const place = 'baths' in thing ? { line: thing } : { tube: thing };
    const series = state.series[seriesKey(measure, place) ?? ''];
    if (series === undefined) return [];
    const moment: Moment = { at, state, site, rules, ...place, scene: sceneOf(place.line), relied: new Map() };
    return viewOf(measure, series, moment);
  });
}

function viewOf(measure: Measure, series: Series, moment: Moment): MeasureView {
  const { fact, title } = measure;
  const { line, tube } = moment;
  const head = { measure: fact, title, unit: facts.get(fact)?.unit ?? '1', line: line?.id, tube: tube?.id };
  const rule = followerOf(fact, moment);
  const trend = rule?.trend;
  if (rule === undefined || trend === undefined) return { ...head, readings: series.readings.map(bare) };
  const now = chartOf(series, trend);
  const reach = 3 * (now?.spread ?? 0);
  const limits = now === undefined ? {} : { centre: now.centre, low: now.centre - reach, high: now.centre + reach };
  return {
    ...head,
    rule: rule.id,
    ...limits,
    readings: judged(series, trend),
    forecast: forecastOf(moment, series, trend),
  };
}

const bare = ([at, value]: readonly [number, number]): MeasureReading => ({ at, value, signals: [] });

/** The first trend in force that follows a measure on this line. */
function followerOf(fact: string, { rules, scene }: Moment): Check | undefined {
  const all = [...rules.rules.values()];
  return all.find(
    (rule): rule is typeof rule & Check => rule.kind === 'check' && rule.trend?.of === fact && selects(rule.for, scene),
  );
}

/** Each reading as it was judged when it was the latest, as far as the readings before it are kept. */
function judged(series: Series, trend: Trend): MeasureReading[] {
  return series.readings.map(([at, value], index) => {
    const chart = chartOf({ ...series, readings: series.readings.slice(0, index + 1) }, trend);
    return chart === undefined
      ? bare([at, value])
      : { at, value, smoothed: chart.means.at(-1), signals: chart.signals };
  });
}

function forecastOf(moment: Moment, series: Series, trend: Trend): MeasureView['forecast'] {
  const line = trend.forecast === undefined ? undefined : driftOf(series, trend);
  const found = line && nextCrossing(moment, trend, line);
  if (trend.forecast === undefined || found === undefined) return undefined;
  // Days count from the latest reading; the answer counts from the instant asked about.
  const since = (moment.at - (series.readings.at(-1)?.[0] ?? moment.at)) / 86_400_000;
  const ahead = (days: number) => Math.max(0, days - since);
  return {
    limit: trend.forecast.limit,
    ...{ days: ahead(found.time), earliest: ahead(found.earliest), latest: ahead(found.latest) },
  };
}
