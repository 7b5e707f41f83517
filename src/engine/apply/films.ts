import { filmCount } from '../../events/film.js';
import { filmArea } from '../../events/film-size.js';
import type { LedgerEvent } from '../../events/event.js';
import { pushCapped } from '../ring.js';
import { refKey, refOf } from '../refs.js';
import { caps, type DayUse, type FilmState, type LineState, type RunState, type SiteState } from '../state.js';

export function filmExposed(state: SiteState, event: LedgerEvent<'film.exposed'>): void {
  const { film: id, tube, filmSize, by } = event.data;
  if (id === undefined) return;
  const film = filmNamed(state, id);
  film.exposedAt = event.at;
  film.tube = tube;
  if (filmSize !== undefined) film.size = filmSize;
  if (by !== undefined) film.by = by;
}

/** Films count for the baths they went through; a test strip uses the developer as much as a patient's film does. */
export function filmProcessed(state: SiteState, event: LedgerEvent<'film.processed'>): void {
  const line = state.lines[event.data.line];
  if (line === undefined) return;
  const films = filmCount(event.data);
  line.day.films += films;
  const use = useOf(state, event);
  for (const one of [dayOf(line, state.day.date), line.baths['developer'], line.baths['fixer']])
    if (one !== undefined) for (const key of used) one[key] += use[key];
  for (const id of event.data.films ?? []) {
    const film = filmNamed(state, id);
    film.run = refOf(event);
    film.line = line.id;
  }
}

function dayOf(line: LineState, date: string): DayUse {
  const latest = line.used.at(-1);
  if (latest?.date === date) return latest;
  const day: DayUse = { date, films: 0, area: 0, unsized: 0 };
  // A window moves on: what leaves it is not lost.
  line.used = [...line.used, day].slice(-caps.useDays);
  return day;
}

const used = ['films', 'area', 'unsized'] as const;

/** The size of a film is that of its run, else that of its own exposure. */
function useOf(state: SiteState, { data }: LedgerEvent<'film.processed'>): Omit<DayUse, 'date'> {
  const films = filmCount(data);
  if (data.filmSize !== undefined) return { films, area: films * filmArea(data.filmSize), unsized: 0 };
  const known = (data.films ?? []).flatMap((id) => filmKnown(state, id)?.size ?? []);
  return { films, area: known.reduce((sum, size) => sum + filmArea(size), 0), unsized: films - known.length };
}

/** Which event first said that a film was refixed: said again by another, it is no other film. */
export function filmRefixed(state: SiteState, event: LedgerEvent<'film.refixed'>): void {
  for (const id of event.data.films ?? []) filmNamed(state, id).refixed ??= refKey(event);
}

const places = new WeakMap<FilmState[], Map<string, FilmState>>();

/**
 * For a long fold of one state: films are looked up instead of looked for, at the price of some memory. Changes no
 * answer.
 */
export function indexFilms({ films }: SiteState): void {
  places.set(films, new Map(films.map((film) => [film.film, film])));
}

/** A film that some event has spoken of, as long as it is kept. */
export function filmKnown({ films }: SiteState, id: string): FilmState | undefined {
  const byId = places.get(films);
  return byId === undefined ? find(films, id) : byId.get(id);
}

/** What a film showed when it was looked at last; of a review of a whole run, every film of it. */
export function filmReviewed(state: SiteState, event: LedgerEvent<'film.reviewed'>): void {
  const { film, run, signs } = event.data;
  const films =
    film === undefined ? state.films.filter((one) => isOfRun(one, run, event.source)) : [filmNamed(state, film)];
  for (const one of films) one.signs = [...signs];
}

const isOfRun = ({ run }: FilmState, id: string | undefined, source: string) =>
  run?.id === id && run?.source === source;

/** The film of a review, or the first of the run that it is of. */
export function reviewedFilm(state: SiteState, { data, source }: LedgerEvent<'film.reviewed'>): FilmState | undefined {
  if (data.film !== undefined) return filmKnown(state, data.film);
  return state.films.find((film) => isOfRun(film, data.run, source));
}

/** The run of the film, or the one that a review is of. */
export function reviewedRun(state: SiteState, { data, source }: LedgerEvent<'film.reviewed'>): RunState | undefined {
  const { run } = data;
  const ref =
    data.film !== undefined ? filmKnown(state, data.film)?.run : run === undefined ? undefined : { id: run, source };
  return ref && runKnown(state, ref);
}

/** A run, as long as it is kept. */
export function runKnown({ runs }: SiteState, { id, source }: { id: string; source: string }): RunState | undefined {
  for (let index = runs.length - 1; index >= 0; index--) {
    const run = runs[index];
    if (run?.ref.id === id && run.ref.source === source) return run;
  }
  return undefined;
}

function filmNamed(state: SiteState, id: string): FilmState {
  const known = filmKnown(state, id);
  if (known !== undefined) return known;
  const ring = state.films;
  const byId = places.get(ring);
  const film: FilmState = { film: id };
  const oldest = ring[0];
  pushCapped(state, 'films', ring, film, caps.films);
  if (oldest !== undefined && ring[0] !== oldest) byId?.delete(oldest.film);
  byId?.set(id, film);
  return film;
}

/** From the end: most often it was exposed a moment ago. */
function find(ring: readonly FilmState[], id: string): FilmState | undefined {
  for (let index = ring.length - 1; index >= 0; index--) {
    const film = ring[index];
    if (film?.film === id) return film;
  }
  return undefined;
}
