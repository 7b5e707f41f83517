import { z } from 'zod';
import { filmSize, purpose } from './film.js';
import { atMostOneOf, count, data, flag, id } from './parts.js';
import { quantity } from './quantity.js';
import { filmSpeed, lotId } from './stock.js';
import { teeth } from './teeth.js';

export const tubeVoltage = quantity('voltage', { min: 20, max: 200 }, { value: 70, unit: 'kV' });
export const tubeCurrent = quantity('current', { min: 0, max: 100 }, { value: 7, unit: 'mA' });

/** Technique factors as set on the unit; shared with tests of the unit. */
export const tubeId = id('X-ray unit, as in the site configuration.', 'R1');
export const technique = {
  tubeVoltage: tubeVoltage.optional(),
  tubeCurrent: tubeCurrent.optional(),
  time: quantity('time', { min: 0, max: 60 }, { value: 0.2, unit: 's' }).optional(),
  pulses: count('Exposure time in pulses of the mains.', 12, 0, 3600).optional(),
};

export const patientSizes = ['child', 'small', 'adult', 'large'] as const;

const patientToken = z
  .string()
  .refine((token) => token.length > 0 && (token.length <= 64 || Array.from(token).length <= 64), {
    error: 'must be 1 to 64 characters',
    params: { code: 'format' },
  })
  .meta({
    description: 'Opaque token for the patient; hashed with a key before it is kept. Never a name.',
    example: 'p-7f31',
  });

export const filmExposed = atMostOneOf(
  data(
    'A film was exposed.',
    {
      film: 'F-1042',
      tube: 'R1',
      view: 'MX_MOL_R',
      teeth: ['16', '17'],
      tubeVoltage: { value: 70, unit: 'kV' },
      tubeCurrent: { value: 7, unit: 'mA' },
      time: { value: 0.2, unit: 's' },
      filmSpeed: 'F',
      filmSize: '2',
      lot: 'LOT-88',
      patientSize: 'adult',
      by: 'op-2',
    },
    {
      film: id('The film, so that processing and review can speak of it.', 'F-1042').optional(),
      tube: tubeId,
      view: id('View or projection.', 'MX_MOL_R').optional(),
      series: id('Planned series the film belongs to.', 'FMX-31').optional(),
      teeth: teeth.optional(),
      ...technique,
      filmSpeed: filmSpeed.optional(),
      filmSize: filmSize.optional(),
      lot: lotId.optional(),
      patientSize: z
        .enum(patientSizes)
        .meta({ description: 'Row of the technique chart.', example: 'adult' })
        .optional(),
      holder: flag('A film holder was used.').optional(),
      packet: z.enum(['single', 'double']).meta({ description: 'Films in the packet.', example: 'single' }).optional(),
      purpose: purpose.optional(),
      ordered: flag('The dentist ordered it.').optional(),
      patient: patientToken.optional(),
      retakeOf: id('The film that this one repeats.', 'F-1040').optional(),
    },
  ),
  'time',
  'pulses',
);
