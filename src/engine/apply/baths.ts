import type { LedgerEvent } from '../../events/event.js';
import { siteDay } from '../calendar.js';
import { refOf } from '../refs.js';
import { onlyTank } from '../round.js';
import type { SiteState } from '../state.js';
import { restartDrifts } from '../trends/series.js';

/** A change starts a new fill: its counters start at nothing, what was read of the old fill no longer holds. */
export function chemistryChanged(state: SiteState, event: LedgerEvent<'chemistry.changed'>): void {
  const line = state.lines[event.data.line];
  const zone = state.site?.zone;
  if (line === undefined || zone === undefined) return;
  const { bath, kind, product, dilution, lot, by } = event.data;
  line.baths[bath] = {
    fill: { ref: refOf(event), day: siteDay(event.at, zone).date, kind, product, dilution, lot, by },
    ...{ films: 0, area: 0, unsized: 0 },
  };
  if (bath === 'developer') {
    line.sinceReplenished = { days: 0, films: 0 };
    delete line.replenishedAt;
  } else delete line.fixerClearing;
  restartDrifts(state, line.id, bath, event.at);
}

export function chemistryReplenished(state: SiteState, event: LedgerEvent<'chemistry.replenished'>): void {
  if (event.data.bath === 'developer' && event.data.with !== 'water') replenished(state, event.data.line, event.at);
}

function replenished(state: SiteState, lineId: string, at: number): void {
  const line = state.lines[lineId];
  if (line === undefined) return;
  line.sinceReplenished = { days: 0, films: 0 };
  line.replenishedAt = at;
}

export function bathMeasured(state: SiteState, event: LedgerEvent<'bath.measured'>): void {
  const line = state.lines[event.data.line];
  const bath = line?.baths[event.data.bath];
  if (line === undefined || bath === undefined) return;
  const { temperature, level, instrument } = event.data;
  if (temperature !== undefined) {
    bath.temperature = { value: temperature, at: event.at, instrument };
  }
  if (level !== undefined) bath.level = { value: level, at: event.at };
}

/** The opening round may carry the developer's temperature. */
export function dayOpened(state: SiteState, event: LedgerEvent<'day.opened'>): void {
  const { line: id, temperature } = event.data;
  const line = id === undefined ? onlyTank(state) : state.lines[id];
  const developer = line?.baths['developer'];
  if (developer !== undefined && temperature !== undefined)
    developer.temperature = { value: temperature, at: event.at };
}

/** The first clearing time after a fixer change is that of the fresh bath. */
export function fixerCleared(state: SiteState, event: LedgerEvent<'fixer.cleared'>): void {
  const line = state.lines[event.data.line];
  if (line === undefined) return;
  const fresh = line.fixerClearing?.fresh ?? event.data.time;
  line.fixerClearing = { fresh, latest: event.data.time, at: event.at };
}
