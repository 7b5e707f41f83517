import { z } from 'zod';
import { lineId } from './bath.js';
import { across, data, flag, id, oneOf } from './parts.js';
import { plainNumber } from './quantity.js';

/** Optical densities that film and a densitometer can show. */
export const densitySpan = { min: 0, max: 6 };

const difference = across(
  z.strictObject({
    steps: z
      .number()
      .min(0)
      .max(30)
      .meta({ description: 'Steps between the strip and the reference; halves are allowed.', example: 2 }),
    direction: z
      .enum(['lighter', 'darker', 'same'])
      .meta({
        description: 'Which way the strip differs; may be left out when there are no steps.',
        example: 'lighter',
      })
      .optional(),
  }),
  ({ steps, direction }) =>
    typeof steps !== 'number' ||
    (steps === 0 ? (direction ?? 'same') === 'same' : direction !== undefined && direction !== 'same'),
  'must go with the steps: "same" for 0 steps, else lighter or darker',
  'direction',
).meta({ description: 'The strip laid beside the reference film.', example: { steps: 2, direction: 'lighter' } });

export const stepwedgeRead = oneOf(
  data(
    'A step-wedge strip was developed and read.',
    { line: 'M1', tube: 'R1', batch: 'strips-7', difference: { steps: 1, direction: 'lighter' } },
    {
      line: lineId,
      tube: id('Unit the strip was exposed on.', 'R1').optional(),
      batch: id('Strips exposed together beforehand: they test the processing only.', 'strips-7').optional(),
      lot: id('Film lot of the strip.', 'LOT-88').optional(),
      densities: z
        .array(plainNumber(densitySpan, 'An optical density', 0.22))
        .min(2)
        .max(40)
        .meta({
          description:
            'Base plus fog first, then the steps. Beside a difference of 0 steps they become those of the reference film; later strips are compared with them.',
          example: [0.22, 0.4, 0.85, 1.5],
        })
        .optional(),
      difference: difference.optional(),
      reference: id('The reference film it was compared with.', 'ref-2026-01').optional(),
    },
  ),
  'densities',
  'difference',
);

export const testfilmRead = data(
  'A test film was developed and looked at.',
  { line: 'A1', kind: 'unexposed', asExpected: true },
  {
    line: lineId,
    kind: z.enum(['unexposed', 'exposed', 'fresh', 'cleaning']).meta({
      description: 'Unexposed, exposed to light, from a fresh pack, or a cleaning sheet.',
      example: 'unexposed',
    }),
    asExpected: flag('It looked as it should.'),
    density: plainNumber(densitySpan, 'Its optical density', 0.22).optional(),
  },
);
