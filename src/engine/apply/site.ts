import type { LedgerEvent } from '../../events/event.js';
import type { SiteConfig } from '../../events/site.js';
import { dayStart } from '../../local-day.js';
import { siteDay, startOfDate } from '../calendar.js';
import { pushCapped } from '../ring.js';
import { caps, type LineState, type SiteState } from '../state.js';

/** A configuration is in force at once, but for its zone: a change of that waits for the end of the site-day. */
export function siteConfigured(state: SiteState, event: LedgerEvent<'site.configured'>): void {
  const zone = state.site?.zone ?? event.data.zone;
  configure(state, { ...event.data, zone }, event.at);
  state.next = zone === event.data.zone ? null : event.data;
}

/** Put a configuration in force: lines and tubes may come and end, none is ever removed. */
export function configure(state: SiteState, config: SiteConfig, at: number): void {
  const old = state.site?.zone;
  state.site = config;
  if (old !== config.zone) state.day = siteDay(at, config.zone);
  if (old !== undefined && old !== config.zone) moveDates(state, old, config.zone);
  for (const line of Object.values(state.lines))
    if (!config.lines.some(({ id }) => id === line.id)) line.config = { ...line.config, ended: true };
  for (const tube of Object.values(state.tubes))
    if (!config.tubes.some(({ id }) => id === tube.id)) tube.config = { ...tube.config, ended: true };
  for (const line of config.lines) {
    const known = state.lines[line.id];
    // What stood in the baths of a line that had ended is not what is in them when it returns.
    if (known === undefined || (known.config.ended === true && line.ended !== true))
      state.lines[line.id] = newLine(line);
    else known.config = line;
  }
  for (const tube of config.tubes) {
    const known = state.tubes[tube.id];
    if (known === undefined) state.tubes[tube.id] = { id: tube.id, config: tube, status: null };
    else known.config = tube;
  }
}

/** Dates stay the dates they were written as: what is good through a day, or closed on it, follows the new zone's day. */
function moveDates(state: SiteState, from: string, to: string): void {
  const moved = (at: number) => dayStart(siteDay(at, from).date, to);
  for (const line of Object.values(state.lines))
    for (const { fill } of Object.values(line.baths)) if (fill) fill.day = siteDay(fill.ref.at, to).date;
  for (const lot of Object.values(state.lots)) if (lot.expiresAt !== undefined) lot.expiresAt = moved(lot.expiresAt);
  for (const closure of state.closures) if (!closure.timed) closure.to = moved(closure.to);
}

function newLine(config: LineState['config']): LineState {
  const bath = () => ({ fill: null, films: 0, area: 0, unsized: 0 });
  return {
    id: config.id,
    config,
    baths: { developer: bath(), fixer: bath(), wash: bath() },
    day: { films: 0 },
    used: [],
    sinceReplenished: { days: 0, films: 0 },
    status: null,
  };
}

const isDate = /^\d{4}-\d{2}-\d{2}$/;

/** A closure given by dates runs from the start of the first to the end of the last; given by instants, as given. */
export function siteClosed(state: SiteState, event: LedgerEvent<'site.closed'>): void {
  const zone = state.site?.zone;
  if (zone === undefined) return;
  const { from, to, line } = event.data;
  const closure = {
    from: isDate.test(from) ? startOfDate(from, zone) : Date.parse(from),
    to: isDate.test(to) ? startOfDate(to, zone, 1) : Date.parse(to),
    timed: !isDate.test(to),
    line,
  };
  pushCapped(state, 'closures', state.closures, closure, caps.closures);
}
