import { z } from 'zod';
import { bathTemperature, bathTime, lineId } from './bath.js';
import { filmSizes } from './film-size.js';
import { across, count, data, distinct, id, oneOf } from './parts.js';
import { quantity } from './quantity.js';

/** Films through the baths: a run is the films developed together in one event. */

export const methods = ['manual', 'automatic', 'chairside'] as const;
export const purposes = ['patient', 'working', 'test'] as const;
export type Purpose = (typeof purposes)[number];

export const purpose = z.enum(purposes).meta({
  description: "What the films are for: a patient's record, working films of a treatment under way, or a test.",
  example: 'patient',
});
export const filmSize = z.enum(filmSizes).meta({ description: 'Size of the film or sheet.', example: '2' });

const filmId = id('A film, by the id that its exposure had.', 'F-1042');
const films = distinct(filmId, { min: 1, max: 200 }).meta({
  description: 'The films, by id.',
  example: ['F-1042', 'F-1043'],
});
const number = count('How many films, when they have no ids.', 4, 1);

const time = (value: number, unit: 's' | 'min') => quantity('time', bathTime, { value, unit });

function withFilms<T extends z.ZodObject>(schema: T): T {
  return across(
    oneOf(schema, 'films', 'count'),
    ({ films, count }) => !Array.isArray(films) || count === undefined || films.length === count,
    'differs from the number of films listed; leave it out',
    'count',
  );
}

export const filmProcessed = withFilms(
  data(
    'A run of films was developed.',
    {
      line: 'M1',
      method: 'manual',
      count: 4,
      filmSize: '2',
      endpoint: 'timed',
      developer: { temperature: { value: 70, unit: '[degF]' }, time: { value: 4.5, unit: 'min' } },
      rinse: { time: { value: 30, unit: 's' } },
      fixer: { time: { value: 10, unit: 'min' } },
      wash: { time: { value: 20, unit: 'min' } },
    },
    {
      line: lineId,
      method: z.enum(methods).meta({ description: 'How the run was processed.', example: 'manual' }),
      films: films.optional(),
      count: number.optional(),
      filmSize: filmSize.optional(),
      purpose: purpose.meta({ ...purpose.meta(), default: 'patient' }).optional(),
      endpoint: z
        .enum(['timed', 'sight'])
        .meta({ description: 'Developed by the clock, or by looking.', example: 'timed' })
        .optional(),
      developer: z
        .strictObject({
          temperature: quantity('temperature', bathTemperature, { value: 70, unit: '[degF]' }).optional(),
          time: time(4.5, 'min').optional(),
        })
        .meta({ description: 'In the developer.' })
        .optional(),
      rinse: z
        .strictObject({ time: time(30, 's') })
        .meta({ description: 'Rinse before the fixer.' })
        .optional(),
      fixer: z
        .strictObject({ time: time(10, 'min') })
        .meta({ description: 'In the fixer.' })
        .optional(),
      wash: z
        .strictObject({ time: time(20, 'min') })
        .meta({ description: 'In the wash.' })
        .optional(),
    },
  ),
);

export const filmRefixed = withFilms(
  data(
    'Films went through full fixing and washing afterwards.',
    { line: 'C1', count: 4, fixer: { time: { value: 10, unit: 'min' } }, wash: { time: { value: 20, unit: 'min' } } },
    {
      line: lineId,
      films: films.optional(),
      count: number.optional(),
      fixer: z.strictObject({ time: time(10, 'min') }).meta({ description: 'In the fixer.' }),
      wash: z.strictObject({ time: time(20, 'min') }).meta({ description: 'In the wash.' }),
    },
  ),
);

/** How many films a run holds, whether they were listed or counted. */
export function filmCount(run: { readonly films?: readonly string[]; readonly count?: number }): number {
  return run.films?.length ?? run.count ?? 0;
}
