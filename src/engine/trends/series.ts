import type { AnyEvent } from '../../events/event.js';
import { measures, measuresOn, type Measure } from '../../packs/measures.js';
import { readFact } from '../facts/index.js';
import type { Moment } from '../moment.js';
import { timeRatio } from '../time-ratio.js';
import { caps, type Series, type SiteState } from '../state.js';

/** What the readings of a measure belong to at this moment. */
export function seriesKey(measure: Measure, moment: Pick<Moment, 'line' | 'tube'>): string | undefined {
  const thing = measure.per === 'line' ? moment.line : moment.tube;
  return thing && `${measure.fact}|${measure.per}:${thing.id}`;
}

export function seriesOf(moment: Moment, fact: string): Series | undefined {
  const measure = measures.get(fact);
  const key = measure && seriesKey(measure, moment);
  return key === undefined ? undefined : moment.state.series[key];
}

/**
 * Keep what this event reads of each measure, whether or not a trend of the packs in force asks for it.
 * @returns what it brought, by fact; undefined for nothing
 */
function recordReadings(moment: Moment): ReadonlyMap<string, number> | undefined {
  const { event } = moment;
  if (event === undefined) return undefined;
  let brought: Map<string, number> | undefined;
  for (const measure of measuresOn.get(event.type) ?? []) {
    const key = seriesKey(measure, moment);
    const value = key === undefined || !brings(event, measure) ? undefined : valueOf(moment, measure.fact);
    if (key === undefined || typeof value !== 'number' || !Number.isFinite(value)) continue;
    const series = seriesFor(moment, measure, key);
    // A window moves on: what leaves it is not lost, and is not counted as lost.
    series.readings = [...series.readings, [event.at, value] as [number, number]].slice(-caps.readings);
    if (series.setup.length < operatingLevel) series.setup.push(value);
    (brought ??= new Map()).set(measure.fact, value);
  }
  return brought;
}

/**
 * An operating level is set up from five strips: one alone may itself be off by its reading error, and every later one
 * would seem to be. Source: a dealer's procedure for general processors, http://www.hrsimon.com/generalqc.html
 */
export const operatingLevel = 5;

/** The series that a reading belongs to; held against another reference film, a strip begins another. */
function seriesFor({ state, line }: Moment, { isFromReference }: Measure, key: string): Series {
  const reference = isFromReference === true ? line?.reference?.id : undefined;
  const known = state.series[key];
  if (known !== undefined && known.reference === reference) return known;
  const series: Series = { readings: [], since: null, setup: [] };
  if (reference !== undefined) series.reference = reference;
  return (state.series[key] = series);
}

/** The moment with what its event brought. */
export function withReadings(moment: Moment): Moment {
  const brought = recordReadings(moment);
  return brought === undefined ? moment : { ...moment, brought };
}

function valueOf(moment: Moment, fact: string): unknown {
  return fact === 'run.timeRatio' ? timeRatio(moment) : readFact(moment, fact);
}

/** A fact that stays known is a reading only at an event that brought it. */
function brings(event: AnyEvent, { fact }: Measure): boolean {
  if (fact !== 'developer.temperature') return true;
  return event.type === 'bath.measured'
    ? event.data.bath === 'developer' && event.data.temperature !== undefined
    : event.type === 'day.opened' && event.data.temperature !== undefined;
}

/** With a fresh bath a drift begins anew; the aim and the readings stay, or a bad mix would hide (law L16). */
export function restartDrifts(state: SiteState, line: string, bath: string, at: number): void {
  for (const { fact, bath: own } of measures.values()) {
    const series = own === bath ? state.series[`${fact}|line:${line}`] : undefined;
    if (series !== undefined) series.since = at;
  }
}
