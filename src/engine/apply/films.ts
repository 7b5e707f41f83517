import { filmCount } from '../../events/film.js';
import type { LedgerEvent } from '../../events/event.js';
import { pushCapped } from '../ring.js';
import { refKey, refOf } from '../refs.js';
import { caps, type FilmState, type SiteState } from '../state.js';

export function filmExposed(state: SiteState, event: LedgerEvent<'film.exposed'>): void {
  if (event.data.film !== undefined) {
    const film = filmNamed(state, event.data.film);
    film.exposedAt = event.at;
    film.tube = event.data.tube;
  }
}

/** Films count for the baths they went through; a test strip uses the developer as much as a patient's film does. */
export function filmProcessed(state: SiteState, event: LedgerEvent<'film.processed'>): void {
  const line = state.lines[event.data.line];
  if (line === undefined) return;
  const films = filmCount(event.data);
  line.day.films += films;
  for (const name of ['developer', 'fixer']) {
    const bath = line.baths[name];
    if (bath !== undefined) bath.films += films;
  }
  for (const id of event.data.films ?? []) {
    const film = filmNamed(state, id);
    film.run = refOf(event);
    film.line = line.id;
  }
}

/** Which event first said that a film was refixed: said again by another, it is no other film. */
export function filmRefixed(state: SiteState, event: LedgerEvent<'film.refixed'>): void {
  for (const id of event.data.films ?? []) filmNamed(state, id).refixed ??= refKey(event);
}

function filmNamed(state: SiteState, id: string): FilmState {
  for (let index = state.films.length - 1; index >= 0; index--) {
    const film = state.films[index];
    if (film?.film === id) return film;
  }
  const film: FilmState = { film: id };
  pushCapped(state, 'films', state.films, film, caps.films);
  return film;
}
