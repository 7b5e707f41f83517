import { z } from 'zod';
import { count, data, distinct, eitherOf, eventAttribute, flag, id } from './parts.js';
import { signs } from './signs.js';

const sign = z.enum(signs).meta({ description: 'A sign, by id.', example: 'light_image' });

export const filmReviewed = eitherOf(
  data(
    'A film, or a run of films, was judged at the viewbox.',
    { film: 'F-1042', grade: 'unacceptable', signs: ['light_image'], extent: 'run', retake: 'none' },
    {
      film: id('The film.', 'F-1042').optional(),
      run: eventAttribute('The run: id of its film.processed event from the same source.', 'e-17').optional(),
      grade: z
        .enum(['excellent', 'acceptable', 'unacceptable'])
        .meta({ description: 'How it was judged.', example: 'acceptable' })
        .optional(),
      signs: distinct(sign, { max: 20 }).meta({
        description: 'What shows on it; empty when nothing does.',
        example: ['light_image'],
      }),
      extent: z
        .enum(['film', 'some', 'run'])
        .meta({ description: 'On this film only, on some of its run, or on all of it.', example: 'run' })
        .optional(),
      retake: z.enum(['none', 'ordered']).meta({ description: "The dentist's decision.", example: 'none' }).optional(),
      salvaged: flag('Read all the same, so that no retake was needed.').optional(),
    },
  ),
  'film',
  'run',
);

export const filmsTallied = data(
  "A day's films were counted, where nobody reviews film by film.",
  { exposures: 24, rejects: [{ sign: 'light_image', count: 2 }] },
  {
    exposures: count('Exposures of the day.', 24),
    rejects: distinct(z.strictObject({ sign: sign.optional(), count: count('Films rejected for it.', 2) }), {
      max: 60,
      key: (reject) => reject.sign ?? '',
    }).meta({
      description: 'Films not acceptable, by sign where it is known.',
      example: [{ sign: 'light_image', count: 2 }],
    }),
  },
);

const dot = z
  .enum(['raised', 'depressed'])
  .meta({ description: 'Side of the dot toward the viewer.', example: 'raised' });

export const filmsMounted = data(
  'Films were put into a mount.',
  {
    mount: 'mount-9',
    layout: 'FMX18',
    slots: [{ slot: 'MX_MOL_R', film: 'F-1042', dot: 'raised' }],
    labelled: { patient: true, date: true },
  },
  {
    mount: id('The mount.', 'mount-9'),
    layout: id('Its layout.', 'FMX18'),
    slots: distinct(
      z.strictObject({
        slot: id('Window of the mount.', 'MX_MOL_R'),
        film: id('The film in it.', 'F-1042').optional(),
        dot: dot.optional(),
        landmarks: distinct(id('A landmark seen on it.', 'maxillary_sinus'), { max: 20 }).optional(),
      }),
      { min: 1, max: 40, key: (slot) => slot.slot },
    ).meta({ description: 'What is in each window.', example: [{ slot: 'MX_MOL_R', film: 'F-1042', dot: 'raised' }] }),
    allDots: dot.meta({ ...dot.meta(), description: 'Dot side of all films, instead of one by one.' }).optional(),
    duplicate: flag('The mount holds copies.').optional(),
    labelled: z
      .strictObject({
        patient: flag('The patient is written on it (say so, never who).'),
        date: flag('The date is written on it.'),
      })
      .meta({ description: 'What is written on the mount.' }),
  },
);
