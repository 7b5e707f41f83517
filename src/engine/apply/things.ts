import { DateTime } from 'luxon';
import type { LedgerEvent } from '../../events/event.js';
import { dayStart } from '../../local-day.js';
import { freshFor } from '../../packs/supply.js';
import { rememberReference, stripDifference } from '../wedge.js';
import { tellsOf } from '../../radiography/sensitometry/comparison.js';
import { crossOver } from '../strip-densities.js';
import { caps, type LineState, type LotState, type SiteState } from '../state.js';

export function wedgeRead(state: SiteState, { at, data }: LedgerEvent<'stepwedge.read'>): void {
  const line = state.lines[data.line];
  if (line === undefined) return;
  const difference = stripDifference(line, data);
  const temperature = standing(line, at);
  if (difference !== undefined)
    line.wedge = { at, ...difference, tells: tellsOf(data), ...(temperature !== undefined && { temperature }) };
  rememberReference(line, data, temperature);
  crossOver(line, data);
}

/** The temperature of the developer, if it was read lately. */
function standing({ baths }: LineState, at: number): number | undefined {
  const reading = baths['developer']?.temperature;
  return reading !== undefined && at - reading.at <= freshFor.ms ? reading.value : undefined;
}

export function testFilmRead(state: SiteState, { at, data }: LedgerEvent<'testfilm.read'>): void {
  const line = state.lines[data.line];
  if (line !== undefined) line.testFilms = { ...line.testFilms, [data.kind]: { at, asExpected: data.asExpected } };
}

/** A coin that shows is a fail: light reached the film around it. */
export function darkroomChecked(state: SiteState, { at, data }: LedgerEvent<'darkroom.checked'>): void {
  const line = state.lines[data.line];
  if (line !== undefined && data.outlineSeen !== undefined)
    line.coins = { ...line.coins, [data.test]: { at, seen: data.outlineSeen } };
}

export function equipmentCleaned(state: SiteState, { at, data }: LedgerEvent<'equipment.cleaned'>): void {
  const line = state.lines[data.line];
  if (line !== undefined && data.part === 'rollers') line.rollersAt = at;
}

/** A line or unit is out of use until it is said to be in use, or repaired. */
export function equipmentStatus(state: SiteState, event: LedgerEvent<'equipment.status'>): void {
  const { line, tube, status } = event.data;
  const thing = line !== undefined ? state.lines[line] : tube !== undefined ? state.tubes[tube] : undefined;
  if (thing !== undefined) thing.status = { status: status === 'outOfUse' ? 'outOfUse' : 'inUse', at: event.at };
}

export function filmstockReceived(state: SiteState, event: LedgerEvent<'filmstock.received'>): void {
  stock(state, event, { receivedAt: event.at });
}
export function filmstockOpened(state: SiteState, event: LedgerEvent<'filmstock.opened'>): void {
  stock(state, event, { openedAt: event.at });
}
export function filmstockStored(state: SiteState, event: LedgerEvent<'filmstock.stored'>): void {
  stock(state, event, {});
}

type Stock = LedgerEvent<'filmstock.received'> | LedgerEvent<'filmstock.opened'> | LedgerEvent<'filmstock.stored'>;

function stock(state: SiteState, event: Stock, also: Partial<LotState>): void {
  const { lot, speed, expires, temperature, humidity } = event.data;
  if (lot === undefined) return;
  if (state.lots[lot] === undefined && Object.keys(state.lots).length >= caps.lots) forgetOldestLot(state);
  const known = (state.lots[lot] ??= {});
  Object.assign(known, also);
  if (speed !== undefined) known.speed = speed;
  if (temperature !== undefined) known.temperature = temperature;
  if (humidity !== undefined) known.humidity = humidity;
  if (expires !== undefined && state.site !== null) known.expiresAt = expiry(expires, state.site.zone);
}

/** A date is good through that day, a month through its last day, both by the site's clock. */
function expiry(expires: string, zone: string): number {
  const unit = expires.length === 7 ? 'months' : 'days';
  const after = DateTime.fromISO(expires, { zone: 'utc' }).plus({ [unit]: 1 });
  return dayStart(after.toISODate() ?? '', zone);
}

function forgetOldestLot(state: SiteState): void {
  const oldest = Object.keys(state.lots)[0];
  if (oldest === undefined) return;
  delete state.lots[oldest];
  state.dropped['lots'] = (state.dropped['lots'] ?? 0) + 1;
}
