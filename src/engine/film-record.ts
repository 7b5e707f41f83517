import { filmKnown } from './apply/films.js';
import { readFact } from './facts/index.js';
import type { Moment } from './moment.js';

/**
 * Keep with each film what its own exposure and its own run say: when it is looked at hours later, baths and settings have
 * moved on. Read after the event's measures were.
 */
export function recordFilms({ state, event, brought, ...moment }: Moment): void {
  if (event?.type === 'film.exposed') {
    const film = filmKnown(state, event.data.film ?? '');
    if (film === undefined) return;
    const { holder, lot } = event.data;
    const ratio = brought?.get('exposure.ratio');
    Object.assign(film, pick({ ratio, holder, lot }));
  }
  if (event?.type === 'film.processed' && event.data.films !== undefined) {
    const temperature = readFact({ ...moment, state, event, brought }, 'run.developer.temperature');
    const told = pick({ temperature, timeRatio: brought?.get('run.timeRatio') });
    for (const id of event.data.films) Object.assign(filmKnown(state, id) ?? {}, told);
  }
}

/** Only what is known: a state has no field that is undefined. */
const pick = (values: Record<string, unknown>) =>
  Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined));
