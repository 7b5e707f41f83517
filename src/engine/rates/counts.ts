import type { AnyEvent, LedgerEvent } from '../../events/event.js';
import { filmKnown } from '../apply/films.js';
import { refKey, refOf } from '../refs.js';
import { caps, type CountedDay, type FilmState, type SiteState, type Tally } from '../state.js';

/** Where an exposure counts: its unit and, where it is known, the person's staff code. */
const cellOf = (tube: string, who: string | undefined) => `${tube}|${who ?? ''}`;
const elsewhere = cellOf('', undefined);

/**
 * Exposures of patients, retakes and rejects, as counts of site-days (law L15). The denominator is exposures: a second film
 * in the packet is none, nor is a film for a test (law L17c). A retake and a reject count on the day of the exposure
 * that failed, and each film once.
 */
export function count(state: SiteState, event: AnyEvent): void {
  if (state.site === null) return;
  if (event.type === 'film.exposed') countExposure(state, event);
  else if (event.type === 'film.reviewed') countReview(state, event);
  else if (event.type === 'films.tallied') {
    const day = today(state);
    const { exposures, rejects } = event.data;
    day.tallied ??= { exposures: 0, rejects: 0 };
    day.tallied.exposures += exposures;
    day.tallied.rejects += rejects.reduce((sum, { count: of }) => sum + of, 0);
    state.counted = refOf(event);
  }
}

function countExposure(state: SiteState, event: LedgerEvent<'film.exposed'>): void {
  const { film: id, tube, by, purpose = 'patient', retakeOf } = event.data;
  if (purpose !== 'patient') return;
  const day = today(state);
  const cell = cellOf(tube, by);
  tallyOf(state, day, cell).exposures += 1;
  state.counted = refOf(event);
  const film = id === undefined ? undefined : filmKnown(state, id);
  if (film !== undefined) film.counted ??= { day: day.date, cell };
  if (retakeOf === undefined) return;
  const original = filmKnown(state, retakeOf);
  const failed = original === undefined ? undefined : whereCounted(state, original);
  (failed ?? tallyOf(state, day, cell)).retakes += 1;
}

function countReview(state: SiteState, event: LedgerEvent<'film.reviewed'>): void {
  const { grade, film, run, extent } = event.data;
  if (grade === undefined) return;
  today(state).reviewed = true;
  if (grade !== 'unacceptable') return;
  const named = film === undefined ? undefined : filmKnown(state, film);
  const key = run === undefined ? undefined : refKey({ source: event.source, id: run });
  // Of some films of a run nobody knows which.
  const whole = key !== undefined && extent === 'run';
  const ofRun = whole ? state.films.filter((one) => one.run !== undefined && refKey(one.run) === key) : [];
  const reviewed = named === undefined ? ofRun : [named];
  for (const one of reviewed) {
    const tally = one.rejected === true ? undefined : whereCounted(state, one);
    if (tally === undefined) continue;
    one.rejected = true;
    tally.rejects += 1;
    state.counted = refOf(event);
  }
}

/** The tally that a film's exposure went into, as long as its day is kept. */
function whereCounted(state: SiteState, { counted }: FilmState): Tally | undefined {
  if (counted === undefined) return undefined;
  const day = state.counts.find(({ date }) => date === counted.day);
  return day?.cells[counted.cell] ?? day?.cells[elsewhere];
}

function today(state: SiteState): CountedDay {
  const last = state.counts.at(-1);
  if (last?.date === state.day.date) return last;
  const day: CountedDay = { date: state.day.date, cells: {} };
  state.counts = [...state.counts, day].slice(-caps.counts);
  return day;
}

/** A day has few units and people; were there more, the rest counts for the site alone. */
function tallyOf(state: SiteState, day: CountedDay, cell: string): Tally {
  const isFull = day.cells[cell] === undefined && Object.keys(day.cells).length >= caps.cells;
  if (isFull) state.dropped['cells'] = (state.dropped['cells'] ?? 0) + 1;
  return (day.cells[isFull ? elsewhere : cell] ??= { exposures: 0, retakes: 0, rejects: 0 });
}
