import { z } from 'zod';
import { across, data, distinct, freeText, localDate, ruleId } from './parts.js';
import { quantity } from './quantity.js';
import { dimensionOf } from './units.js';

const liquids = ['fixer', 'developer'];

export const wasteHandedOver = across(
  data(
    'Waste was handed over.',
    { kind: 'fixer', amount: { value: 2, unit: '[gal_us]' } },
    {
      kind: z.enum(['fixer', 'developer', 'foil', 'film']).meta({ description: 'What it was.', example: 'fixer' }),
      amount: z
        .union([
          quantity('volume', { min: 0, max: 1_000_000 }, { value: 2, unit: '[gal_us]' }),
          quantity('mass', { min: 0, max: 1_000_000 }, { value: 1, unit: 'kg' }),
        ])
        .meta({ description: 'A volume of solution, a mass of foil or film.', example: { value: 2, unit: '[gal_us]' } })
        .optional(),
    },
  ),
  ({ kind, amount }) => {
    const unit = typeof amount === 'object' && amount !== null ? (amount as { unit?: unknown }).unit : undefined;
    const dimension = typeof unit === 'string' ? dimensionOf(unit) : undefined;
    if (dimension !== 'volume' && dimension !== 'mass') return true;
    return typeof kind !== 'string' || liquids.includes(kind) === (dimension === 'volume');
  },
  'must be a volume for fixer and developer, a mass for foil and film',
  'amount',
);

export const obligationDone = data(
  'A duty that can only be attested was done.',
  { obligation: 'us-wa-on-hand', until: '2027-03-08' },
  {
    obligation: ruleId('The obligation, by the id that its pack gives it; GET /v1/packs lists them.', 'us-wa-on-hand'),
    until: localDate('Good through this day, when the paper says so.').optional(),
  },
);

export const inspectionHeld = data(
  'An inspector or physicist looked at the office.',
  { items: [{ item: 'Post the technique chart at unit R2', due: '2026-05-01' }] },
  {
    items: distinct(
      z.strictObject({
        item: freeText('What is to be put right.', 'Post the technique chart at unit R2', 200),
        due: localDate('By when.', '2026-05-01'),
      }),
      { max: 50, key: ({ item }) => item },
    )
      .meta({ description: 'What was found, with its date.' })
      .optional(),
  },
);
