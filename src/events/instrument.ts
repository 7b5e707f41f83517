import { z } from 'zod';
import { across, data, id } from './parts.js';
import { dimensionOf } from './units.js';
import type { Dimension } from './units.js';
import { plainNumber, quantity } from './quantity.js';

const measures = { thermometer: 'temperature', timer: 'time', densitometer: 'number' } as const satisfies Record<
  string,
  Dimension
>;
export type InstrumentKind = keyof typeof measures;

const reading = z
  .union([
    quantity('temperature', { min: -30, max: 110 }, { value: 68, unit: '[degF]' }),
    quantity('time', { min: 0, max: 86_400 }, { value: 300, unit: 's' }),
    plainNumber({ min: 0, max: 6 }, 'An optical density', 1.5),
  ])
  .meta({
    description: 'A temperature, a time or an optical density, as the kind of instrument asks.',
    example: { value: 68.5, unit: '[degF]' },
  });

const fits = (kind: unknown, value: unknown): boolean => {
  if (typeof kind !== 'string' || !Object.hasOwn(measures, kind)) return true;
  const unit =
    typeof value === 'number'
      ? '1'
      : typeof value === 'object' && value !== null
        ? (value as { unit?: unknown }).unit
        : '';
  const dimension = typeof unit === 'string' ? dimensionOf(unit) : undefined;
  // A unit that no instrument has is told of where it stands.
  const possible = Object.values<Dimension | undefined>(measures).includes(dimension);
  return !possible || dimension === measures[kind as InstrumentKind];
};

const sent = data(
  'An instrument was compared with a reference.',
  {
    instrument: 'thermometer-1',
    kind: 'thermometer',
    reading: { value: 68.5, unit: '[degF]' },
    reference: { value: 68, unit: '[degF]' },
  },
  {
    instrument: id('The instrument.', 'thermometer-1'),
    kind: z.enum(['thermometer', 'timer', 'densitometer']).meta({ description: 'What it is.', example: 'thermometer' }),
    reading: reading.meta({ ...reading.meta(), description: 'What it showed.' }),
    reference: reading.meta({ ...reading.meta(), description: 'What it should have shown.' }),
  },
);

const misfit =
  'is not what this kind of instrument measures: a thermometer reads a temperature, a timer a time, a densitometer a density';
export const instrumentChecked = across(
  across(sent, ({ kind, reading }) => fits(kind, reading), misfit, 'reading'),
  ({ kind, reference }) => fits(kind, reference),
  misfit,
  'reference',
);
