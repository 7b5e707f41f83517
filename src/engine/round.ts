import type { AnyEvent } from '../events/event.js';
import type { LineState, SiteState } from './state.js';

/**
 * The opening round of a whole office, as one line sees it: what it says of lids, levels, stirring and water it says of
 * every line. A thermometer stands in one bath: its reading is that of the only tank or processor, or of none that
 * could be named. Any other event is seen as it is.
 */
export function seenBy(state: SiteState, line: string | undefined, event: AnyEvent): AnyEvent {
  if (event.type !== 'day.opened' || event.data.line !== undefined || line === undefined) return event;
  const { temperature, ...round } = event.data;
  const reads = temperature !== undefined && onlyTank(state)?.id === line;
  return { ...event, data: { ...round, line, ...(reads ? { temperature } : {}) } };
}

/** The lines a round of the whole office speaks of. */
export function linesOf(state: SiteState, event: AnyEvent): LineState[] {
  if (event.type !== 'day.opened' || event.data.line !== undefined) return [];
  return Object.values(state.lines).filter(({ config }) => config.ended !== true);
}

/** The manual or automatic line of an office that has just one. */
export function onlyTank(state: SiteState): LineState | undefined {
  const [tank, ...others] = tanks(state);
  return others.length === 0 ? tank : undefined;
}

/** Lines whose bath is read in the opening round: manual and automatic ones, not quick boxes at the chair. */
export function tanks(state: SiteState): LineState[] {
  return Object.values(state.lines).filter(({ config }) => config.ended !== true && config.method !== 'chairside');
}
