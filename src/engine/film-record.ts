import type { LedgerEvent } from '../events/event.js';
import { freshFor } from '../packs/supply.js';
import { alikeChoices } from './alike.js';
import { filmKnown } from './apply/films.js';
import { readFact } from './facts/index.js';
import { sceneOf, type Moment } from './moment.js';
import { refOf } from './refs.js';
import { caps, type RunState } from './state.js';
import { pick, standing } from './standing.js';
import { timeRatio } from './time-ratio.js';

/**
 * Keep with each film what its own exposure says, and with each run what was known of its baths: when a film is looked at
 * hours later, baths and settings have moved on. Read after the event's measures were.
 */
export function recordFilms(moment: Moment): void {
  const { event } = moment;
  if (event?.type === 'film.exposed') exposed(moment, event.data);
  else if (event?.type === 'film.processed') processed(moment, event);
  else if (event?.type === 'bath.measured' || event?.type === 'day.opened') readLater(moment);
}

function exposed({ state, brought }: Moment, data: LedgerEvent<'film.exposed'>['data']): void {
  const film = filmKnown(state, data.film ?? '');
  if (film !== undefined)
    Object.assign(film, pick({ ratio: brought?.get('exposure.ratio'), holder: data.holder, lot: data.lot }));
  const replaced = filmKnown(state, data.retakeOf ?? '');
  if (replaced !== undefined) replaced.repeats = (replaced.repeats ?? 0) + 1;
}

function processed(moment: Moment, event: LedgerEvent<'film.processed'>): void {
  const { state, line } = moment;
  if (line === undefined) return;
  const { by, developer, rinse, fixer, wash } = event.data;
  const run: RunState = {
    ref: refOf(event),
    line: line.id,
    ...pick({ by, rinse: rinse?.time, fixing: fixer?.time, washing: wash?.time, time: developer?.time }),
    ...pick({ temperature: readFact(moment, 'run.developer.temperature'), timeRatio: timeRatio(moment) }),
    ...standing(moment),
  };
  state.runs.push(run);
  const gone = state.runs.length > caps.runs ? state.runs.shift() : undefined;
  // A window moves on: only what would still have been evidence is counted as lost.
  if (gone !== undefined && event.at - gone.ref.at < alikeChoices.reach)
    state.dropped['runs'] = (state.dropped['runs'] ?? 0) + 1;
}

/** A bath that nobody read before a run, and somebody read soon after it: evidence of how warm it was, not a verdict. */
function readLater(moment: Moment): void {
  const { state, line } = moment;
  const developer = line?.baths['developer'];
  const reading = developer?.temperature;
  if (line === undefined || reading?.at !== moment.at) return;
  const since = Math.max(moment.at - freshFor.ms, developer?.fill?.ref.at ?? -Infinity);
  for (const run of state.runs) {
    if (run.line !== line.id || run.ref.at < since || run.temperature !== undefined) continue;
    run.temperature = reading.value;
    run.readAt = reading.at;
    if (run.time === undefined || run.timeRatio !== undefined) continue;
    const ratio = timeRatio(asRun(moment, run, reading.value, run.time));
    if (ratio !== undefined) run.timeRatio = ratio;
  }
}

/** The run as it would have been judged, had its temperature been told. */
function asRun(
  { event: _read, brought: _brought, ...moment }: Moment,
  run: RunState,
  temperature: number,
  time: number,
): Moment {
  const { line } = moment;
  const method = line?.config.method ?? 'manual';
  const data = { line: run.line, method, count: 1, purpose: 'patient' as const, developer: { temperature, time } };
  const { at, source, id } = run.ref;
  const event: LedgerEvent<'film.processed'> = {
    type: 'film.processed',
    at,
    source,
    id,
    site: moment.state.id,
    rank: 0,
    data,
  };
  return { ...moment, event, scene: sceneOf(line, undefined, method), relied: new Map() };
}
