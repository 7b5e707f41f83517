import { z } from 'zod';
import { data, id, oneOf } from './parts.js';
import { quantity } from './quantity.js';

/** Temperatures a tank of solution or water can have, in Cel. */
export const bathTemperature = { min: 0, max: 60 };
/** Times in a bath, in s: from none to a day. */
export const bathTime = { min: 0, max: 86_400 };

export const chemistryBaths = ['developer', 'fixer'] as const;
export const baths = [...chemistryBaths, 'wash'] as const;

export const lineId = id('Processing line, as in the site configuration.', 'M1');

export const bathMeasured = oneOf(
  data(
    'A bath was read: its temperature, its level, or both.',
    { line: 'M1', bath: 'developer', temperature: { value: 68, unit: '[degF]' }, instrument: 'thermometer-1' },
    {
      line: lineId,
      bath: z.enum(baths).meta({ description: 'Which bath.', example: 'developer' }),
      temperature: quantity('temperature', bathTemperature, { value: 68, unit: '[degF]' }).optional(),
      level: z.enum(['full', 'low']).meta({ description: 'How high the solution stands.', example: 'full' }).optional(),
      instrument: id('The thermometer it was read with.', 'thermometer-1').optional(),
    },
  ),
  'temperature',
  'level',
);

export const fixerCleared = data(
  'How long an unexposed film took to clear in the fixer.',
  { line: 'M1', time: { value: 90, unit: 's' } },
  { line: lineId, time: quantity('time', { min: 1, max: 7200 }, { value: 90, unit: 's' }) },
);
