import type { LedgerEvent } from '../../events/event.js';
import type { SiteConfig } from '../../events/site.js';
import { siteDay, startOfDate } from '../calendar.js';
import { pushCapped } from '../ring.js';
import { caps, type LineState, type SiteState } from '../state.js';

/** The first configuration is in force at once; a later change of zone waits for the end of the site-day. */
export function siteConfigured(state: SiteState, event: LedgerEvent<'site.configured'>): void {
  if (state.site === null || state.site.zone === event.data.zone) {
    configure(state, event.data, event.at);
    state.next = null;
  } else {
    state.next = event.data;
  }
}

/** Put a configuration in force: lines and tubes may come and end, none is ever removed. */
export function configure(state: SiteState, config: SiteConfig, at: number): void {
  const first = state.site === null;
  const zoneChanged = state.site !== null && state.site.zone !== config.zone;
  state.site = config;
  if (first || zoneChanged) state.day = siteDay(at, config.zone);
  for (const line of Object.values(state.lines))
    if (!config.lines.some(({ id }) => id === line.id)) line.config = { ...line.config, ended: true };
  for (const tube of Object.values(state.tubes))
    if (!config.tubes.some(({ id }) => id === tube.id)) tube.config = { ...tube.config, ended: true };
  for (const line of config.lines) {
    const known = state.lines[line.id];
    if (known === undefined) state.lines[line.id] = newLine(line, at);
    else known.config = line;
  }
  for (const tube of config.tubes) {
    const known = state.tubes[tube.id];
    if (known === undefined) state.tubes[tube.id] = { id: tube.id, config: tube, since: at, status: null };
    else known.config = tube;
  }
}

function newLine(config: LineState['config'], at: number): LineState {
  const bath = () => ({ fill: null, films: 0 });
  return {
    id: config.id,
    config,
    since: at,
    baths: { developer: bath(), fixer: bath(), wash: bath() },
    day: { films: 0 },
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
