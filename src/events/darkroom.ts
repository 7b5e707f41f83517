import { z } from 'zod';
import { lineId } from './bath.js';
import { data, flag, oneOf } from './parts.js';
import { plainNumber, quantity } from './quantity.js';

export const darkroomChecked = oneOf(
  data(
    'The darkroom was tested with a film left open: for light leaks with all lights off, or under the safelight.',
    { line: 'M1', test: 'safelight', lights: 'safelight', time: { value: 5, unit: 'min' }, outlineSeen: false },
    {
      line: lineId,
      test: z.enum(['lightTight', 'safelight']).meta({ description: 'What was tested.', example: 'safelight' }),
      lights: z.enum(['off', 'safelight']).meta({ description: 'Lights during the test.', example: 'safelight' }),
      time: quantity('time', { min: 0, max: 86_400 }, { value: 5, unit: 'min' }).optional(),
      outlineSeen: flag('Coin test: an outline shows on the film.').optional(),
      // A reading can come out slightly below the covered half.
      densityIncrease: plainNumber(
        { min: -1, max: 6 },
        'Half-covered film: density added to the open half',
        0.04,
      ).optional(),
    },
  ),
  'outlineSeen',
  'densityIncrease',
);
