import { z } from 'zod';
import { chemistryBaths, lineId } from './bath.js';
import { data, flag, freeText, id, label } from './parts.js';
import { quantity } from './quantity.js';

const bath = z.enum(chemistryBaths).meta({ description: 'Which bath; one event each.', example: 'developer' });
export const volume = quantity('volume', { min: 0, max: 200_000 }, { value: 1, unit: '[gal_us]' });

export const chemistryChanged = data(
  'A bath was emptied and filled anew.',
  { line: 'M1', bath: 'developer', kind: 'standard', dilution: '1+4', tankCleaned: true, by: 'op-3' },
  {
    line: lineId,
    bath,
    kind: z
      .enum(['standard', 'rapid'])
      .meta({ description: "The chemistry put in; left out: the line's own.", example: 'standard' })
      .optional(),
    product: label("The product; it chooses the maker's sheet.", 'house developer').optional(),
    dilution: label('Concentrate to water.', '1+4').optional(),
    volume: volume.optional(),
    lot: id('Lot of the solution.', 'DEV-0231').optional(),
    tankCleaned: flag('The tank was cleaned before filling.').optional(),
    reason: freeText('Why it was changed.', 'strip three steps light').optional(),
  },
);

export const chemistryReplenished = data(
  'A bath was topped up.',
  { line: 'M1', bath: 'developer', volume: { value: 8, unit: '[foz_us]' }, with: 'replenisher' },
  {
    line: lineId,
    bath,
    volume: volume.optional(),
    with: z.enum(['replenisher', 'water']).meta({ description: 'What was added.', example: 'replenisher' }).optional(),
  },
);
