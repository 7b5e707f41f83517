import { z } from 'zod';
import { lineId } from './bath.js';
import { data, eitherOf, freeText, id } from './parts.js';

export const equipmentCleaned = data(
  'A part of a processing line was cleaned.',
  { line: 'A1', part: 'rollers' },
  {
    line: lineId,
    part: z.enum(['rollers', 'tank', 'racks']).meta({ description: 'What was cleaned.', example: 'rollers' }),
  },
);

export const equipmentStatus = eitherOf(
  data(
    'A line or a unit was taken out of use, put back, repaired or moved.',
    { tube: 'R1', status: 'repaired', reason: 'timer replaced' },
    {
      line: lineId.optional(),
      tube: id('X-ray unit, as in the site configuration.', 'R1').optional(),
      status: z
        .enum(['inUse', 'outOfUse', 'repaired', 'moved'])
        .meta({ description: 'Its state from now on, or what was done to it.', example: 'repaired' }),
      reason: freeText('Why.', 'timer replaced').optional(),
    },
  ),
  'line',
  'tube',
);
