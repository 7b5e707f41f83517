import * as z from 'zod';
import { measures } from '../../packs/measures.js';
import { caution, when } from './common.js';

const name = z.string().meta({ description: `One of ${[...measures.keys()].join(', ')}.`, example: 'wedge.density' });

export const measureParams = z.object({
  id: z.string().meta({ description: 'The site.', example: 'brackenfold' }),
  name,
});

const reading = z
  .object({
    at: when.meta({ description: 'When it was read, UTC.' }),
    value: z.number().meta({ description: 'In the unit of the measure.' }),
    smoothed: z.number().optional().meta({ description: 'Smoothed mean after it; absent while there were too few.' }),
    signals: z.array(z.string()).meta({ description: 'Rules of the control chart that it broke when it was read.' }),
  })
  .meta({ id: 'MeasureReading' });

const chart = z
  .object({
    line: z.string().optional().meta({ description: 'The processing line.' }),
    tube: z.string().optional().meta({ description: 'The x-ray unit.' }),
    rule: z.string().optional().meta({ description: 'The trend in force whose chart it is; absent: none.' }),
    centre: z.number().optional().meta({ description: 'The aim; absent while there are too few readings.' }),
    low: z.number().optional().meta({ description: 'Three standard deviations under it.' }),
    high: z.number().optional().meta({ description: 'Three standard deviations over it.' }),
    readings: z.array(reading).meta({ description: 'The latest forty at most, oldest first.' }),
    forecast: z
      .object({
        limit: z.string().meta({ description: 'Name of the limit.' }),
        days: z.number().meta({ description: 'Until the drift reaches it.' }),
        earliest: z.number().meta({ description: 'Lower end of the 95 % interval, days.' }),
        latest: z.number().meta({ description: 'Upper end.' }),
      })
      .optional()
      .meta({ description: 'Only where a drift can be told from none and leads to the limit.' }),
    text: z.string().meta({ description: 'The chart in words.' }),
  })
  .meta({ id: 'MeasureChart' });

export const measureAnswer = z
  .object({
    site: z.string(),
    at: when,
    caution,
    measure: name,
    title: z.string().meta({ description: 'What is measured.' }),
    unit: z.string().meta({ description: 'UCUM code of the values.', example: '1' }),
    items: z.array(chart).meta({ description: 'A chart for each line or unit that has readings.' }),
  })
  .meta({ id: 'Measure' });
