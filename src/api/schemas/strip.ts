import * as z from 'zod';
import { id } from '../../events/parts.js';
import { quantity } from '../../events/quantity.js';
import { caution, when } from './common.js';
import { place } from './consult.js';

const densities = z.array(z.number()).min(2).max(40);

export const stripExample = {
  densities: [0.21, 0.35, 0.52, 0.81, 1.22, 1.7, 2.2, 2.61],
  reference: [0.2, 0.38, 0.6, 0.95, 1.4, 1.9, 2.35, 2.7],
  kerma: [0.05, 0.075, 0.11, 0.17, 0.25, 0.38, 0.57].map((value) => ({ value, unit: 'mGy' })),
};

export const stripBody = z
  .strictObject({
    site: place.site,
    at: place.at,
    line: id('The line whose reference film it is held against; needs site.', 'M1').optional(),
    densities: densities.meta({ description: 'Of the strip: base plus fog first, then the steps from light to dark.' }),
    reference: densities
      .optional()
      .meta({ description: 'Of the reference film; left out: that of the line on record.' }),
    batch: id('The batch, when it was exposed beforehand together with others.', 'B-7').optional(),
    exposure: z
      .array(z.number().positive().max(1e6))
      .min(1)
      .max(39)
      .optional()
      .meta({
        description: 'Of each step, in any one unit (mA s, relative): gives the curve.',
        example: [1, 1.5, 2.25],
      }),
    kerma: z
      .array(quantity('kerma', { min: 1e-6, max: 1000 }, { value: 0.17, unit: 'mGy' }))
      .min(1)
      .max(39)
      .optional()
      .meta({ description: 'Instead of exposure, air kerma of each step: gives the curve and the speed of the film.' }),
  })
  .meta({ id: 'StripQuestion', example: stripExample });

const number = (description: string) => z.number().meta({ description });

export const stripAnswer = z
  .object({
    at: when,
    caution,
    site: z.string().optional(),
    line: z.string().optional(),
    net: z.array(z.number()).meta({ description: 'Densities of the steps over base plus fog.' }),
    fog: z.enum(['asNew', 'aged', 'expired']).meta({
      description:
        'Base plus fog against ISO 3665: at most 0.25 as film is made, 0.40 ends its life. Film and bath together.',
    }),
    tells: z.enum(['processing', 'unitAndProcessing']).meta({ description: 'What a difference can be blamed on.' }),
    difference: z
      .object({
        density: number('Of the middle step; below 0: lighter.'),
        baseFog: number('Of base plus fog.'),
        contrast: number('Of the density between two steps.').optional(),
        steps: number('In steps of the reference film.'),
        direction: z.enum(['lighter', 'darker', 'same']),
        many: z.boolean().meta({ description: 'More than two steps: common practice changes the solutions.' }),
      })
      .optional()
      .meta({ description: 'Against the reference film.' }),
    curve: z
      .object({
        most: number('Net density that the curve nears at its top.'),
        middle: number('Logarithm (base 10) of the exposure at half of it.'),
        steepness: z.number(),
        residual: number('Root mean square of what the steps miss it by, in density.'),
        speedPoint: number('Exposure at net density 1.00; absent: the strip does not show it.').optional(),
        averageGradient: number('From net density 0.25 to 2.00; absent: the strip does not show them.').optional(),
        steepEnough: z.boolean().optional().meta({ description: 'Above 1.50, as ISO 3665 asks of film as made.' }),
        speed: number('ISO speed, from air kerma.').optional(),
        group: z.string().optional().meta({ description: 'Speed group C to F; absent outside its bands.' }),
      })
      .optional(),
    text: z.array(z.string()).meta({ description: 'All of it in words.' }),
  })
  .meta({ id: 'StripAnswer' });
