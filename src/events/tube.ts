import { z } from 'zod';
import { technique, tubeId } from './exposure.js';
import { across, data } from './parts.js';
import { plainNumber, quantity } from './quantity.js';

const kerma = quantity('kerma', { min: 0, max: 1000 }, { value: 1.8, unit: 'mGy' });
const exposure = quantity('exposure', { min: 0, max: 100_000 }, { value: 210, unit: 'mR' });
const edge = quantity('length', { min: 0, max: 600 }, { value: 6, unit: 'cm' });

const reading = z
  .strictObject({
    kerma: kerma.optional(),
    exposure: exposure.optional(),
    time: technique.time,
    pulses: plainNumber({ min: 0, max: 3600 }, 'Pulses counted', 12).optional(),
    voltage: technique.tubeVoltage,
    filter: quantity('length', { min: 0, max: 20 }, { value: 1.5, unit: 'mm' }).optional(),
    halfValueLayer: quantity('length', { min: 0, max: 20 }, { value: 1.8, unit: 'mm' }).optional(),
    diameter: edge.optional(),
    width: edge.optional(),
    height: edge.optional(),
  })
  .meta({
    description: 'One reading; filters and half-value layers in mm of aluminium.',
    example: { kerma: { value: 1.8, unit: 'mGy' } },
  });

/** What a reading of each test must bring. */
const brings = {
  output: ['kerma', 'exposure'],
  timer: ['time', 'pulses'],
  halfValueLayer: ['halfValueLayer', 'kerma', 'exposure'],
  voltage: ['voltage'],
  field: ['diameter', 'width', 'height'],
} as const;
export type TubeTest = keyof typeof brings;

export const tubeTested = across(
  data(
    'A unit was tested.',
    {
      tube: 'R1',
      test: 'output',
      settings: {
        tubeVoltage: { value: 70, unit: 'kV' },
        tubeCurrent: { value: 7, unit: 'mA' },
        time: { value: 0.2, unit: 's' },
      },
      readings: [{ kerma: { value: 1.8, unit: 'mGy' } }, { kerma: { value: 1.82, unit: 'mGy' } }],
    },
    {
      tube: tubeId,
      test: z
        .enum(['output', 'timer', 'halfValueLayer', 'voltage', 'field'])
        .meta({ description: 'What was tested.', example: 'output' }),
      settings: z
        .strictObject({
          ...technique,
          distance: quantity('length', { min: 0, max: 5000 }, { value: 20, unit: 'cm' }).optional(),
        })
        .meta({ description: 'Settings during the test; the distance is from the focal spot.' }),
      readings: z.array(reading).min(1).max(50).meta({ description: 'What was read, in order.' }),
    },
  ),
  ({ test, readings }) => {
    if (typeof test !== 'string' || !Object.hasOwn(brings, test) || !Array.isArray(readings)) return true;
    const wanted = brings[test as TubeTest];
    return readings.every((one) => typeof one !== 'object' || one === null || wanted.some((name) => name in one));
  },
  `must each bring what the test measures: ${Object.entries(brings)
    .map(([test, names]) => `${test}: ${names.join(' or ')}`)
    .join('; ')}`,
  'readings',
);
