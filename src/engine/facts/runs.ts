import { filmCount } from '../../events/film.js';
import type { EventData } from '../../events/catalogue.js';
import type { Moment } from '../moment.js';
import { freshTemperature } from './baths.js';
import type { FactReader } from './reader.js';

type Run = EventData['film.processed'];

/** The processing data of the event, when it is a run of films (or a second fixing and washing). */
function run(moment: Moment): Partial<Run> | undefined {
  const event = moment.event;
  return event?.type === 'film.processed' || event?.type === 'film.refixed' ? event.data : undefined;
}

function temperature(moment: Moment): number | undefined {
  return run(moment)?.developer?.temperature ?? freshTemperature(moment, 'developer');
}

export const runFacts: Record<string, FactReader> = {
  'run.method': (moment) => run(moment)?.method,
  'run.films': (moment) => {
    const event = moment.event;
    return event?.type === 'film.processed' || event?.type === 'film.refixed' ? filmCount(event.data) : undefined;
  },
  'run.purpose': (moment) =>
    moment.event?.type === 'film.processed' ? (run(moment)?.purpose ?? 'patient') : undefined,
  'run.endpoint': (moment) => run(moment)?.endpoint,
  'run.developer.time': (moment) => run(moment)?.developer?.time,
  'run.developer.temperature': temperature,
  'run.temperatureGiven': (moment) => (run(moment) === undefined ? undefined : temperature(moment) !== undefined),
  'run.timeRatio': (moment) => moment.brought?.get('run.timeRatio'),
  'run.rinse.time': (moment) => run(moment)?.rinse?.time,
  'run.fixer.time': (moment) => run(moment)?.fixer?.time,
  'run.wash.time': (moment) => run(moment)?.wash?.time,
};
