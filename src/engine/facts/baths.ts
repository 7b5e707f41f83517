import { freshFor } from '../../packs/supply.js';
import type { Moment } from '../moment.js';
import { daysBetween } from '../calendar.js';
import type { BathState, InstrumentState, LineState } from '../state.js';
import type { FactReader } from './reader.js';

/** The bath's last temperature if it is fresh and its instrument is not in doubt. */
export function freshTemperature(moment: Moment, bath: string): number | undefined {
  const reading = moment.line?.baths[bath]?.temperature;
  if (reading === undefined || moment.at - reading.at > freshFor.ms) return undefined;
  const { instrument, at, value } = reading;
  if (instrument === undefined) return value;
  if (isDoubtful(moment.state.instruments[instrument], at)) return undefined;
  moment.relied.set(instrument, `${bath}.temperature`);
  return value;
}

/**
 * What an instrument read since its last pass is in doubt once it fails. A later pass makes new readings good; it does
 * not make those of the time in between true.
 */
export function isDoubtful(instrument: InstrumentState | undefined, readAt: number): boolean {
  if (instrument?.failedAt === undefined) return false;
  const { trustedTo = -Infinity, failedAt, passedAt = -Infinity } = instrument;
  return readAt >= trustedTo && !(passedAt > failedAt && readAt >= passedAt);
}

/** Clearing time over that of the fresh fixer. */
export function clearingRatio({ fixerClearing }: LineState): number | undefined {
  const { fresh, latest } = fixerClearing ?? {};
  return fresh !== undefined && latest !== undefined && fresh > 0 ? latest / fresh : undefined;
}

/** Age of a fill in calendar days; the day of the change is 0. */
export function fillAge(moment: Moment, bath: string): number | undefined {
  const fill = moment.line?.baths[bath]?.fill;
  return fill ? daysBetween(fill.day, moment.state.day.date) : undefined;
}

const fresh =
  (bath: string): FactReader =>
  (moment) =>
    freshTemperature(moment, bath);
const replenishing = (moment: Moment) =>
  moment.line?.baths['developer']?.fill ? moment.line.sinceReplenished : undefined;

export const bathFacts: Record<string, FactReader> = {
  'bath.name': (moment) => moment.bath?.name,
  'bath.temperature': (moment) => (moment.event?.type === 'bath.measured' ? moment.event.data.temperature : undefined),
  'bath.level': (moment) => (moment.event?.type === 'bath.measured' ? moment.event.data.level : undefined),
  'developer.temperature': fresh('developer'),
  'fixer.temperature': fresh('fixer'),
  'wash.temperature': fresh('wash'),
  'developer.age': (moment) => fillAge(moment, 'developer'),
  'fixer.age': (moment) => fillAge(moment, 'fixer'),
  'chemistry.age': (moment) => fillAge(moment, moment.bath?.name ?? 'developer'),
  'chemistry.since': (moment) => moment.line?.baths[moment.bath?.name ?? 'developer']?.fill?.ref.at,
  'developer.films': (moment) => filledBath(moment, 'developer')?.films,
  'fixer.films': (moment) => filledBath(moment, 'fixer')?.films,
  'developer.area': (moment) => filledBath(moment, 'developer')?.area,
  'fixer.area': (moment) => filledBath(moment, 'fixer')?.area,
  'developer.daysSinceReplenished': (moment) => replenishing(moment)?.days,
  'developer.filmsSinceReplenished': (moment) => replenishing(moment)?.films,
  'developer.lastReplenished': (moment) => moment.line?.replenishedAt,
  'change.kind': (moment) =>
    moment.event?.type === 'chemistry.changed' ? (moment.event.data.kind ?? moment.scene.chemistry) : undefined,
  'change.byKnown': (moment) =>
    moment.event?.type === 'chemistry.changed' ? moment.event.data.by !== undefined : undefined,
  'duty.afterClosure': (moment) => moment.owing?.afterClosure,
  'duty.count': (moment) => moment.owing?.count,
  'line.method': (moment) => moment.line?.config.method,
  'line.filmsToday': (moment) => moment.line?.day.films,
};

/** What a bath has processed is known since its change, and not without one on record. */
function filledBath(moment: Moment, bath: string): BathState | undefined {
  const state = moment.line?.baths[bath];
  return state?.fill ? state : undefined;
}
