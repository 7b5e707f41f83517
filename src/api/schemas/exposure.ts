import * as z from 'zod';
import { patientSizes, tubeCurrent, tubeVoltage } from '../../events/exposure.js';
import { id } from '../../events/parts.js';
import { quantity } from '../../events/quantity.js';
import { mainsFrequencies } from '../../radiography/exposure/charge.js';
import { speedSources } from '../../radiography/exposure/speed.js';
import { voltageRules } from '../../radiography/exposure/voltage.js';
import { speedGroups } from '../../radiography/sensitometry/speed.js';
import { caution, when } from './common.js';
import { place, word } from './consult.js';

const time = (value: number) => quantity('time', { min: 0.001, max: 60 }, { value, unit: 's' });
const length = (value: number, max: number) => quantity('length', { min: 1, max }, { value, unit: 'mm' });
const filmSpeed = z.enum(speedGroups).optional().meta({ description: 'Speed group of the film.', example: 'F' });
const setting = {
  tubeVoltage: tubeVoltage.optional(),
  tubeCurrent: tubeCurrent.optional(),
  filmSpeed,
  distance: length(220, 2000).optional().meta({ description: 'From target to film.' }),
  cone: z
    .strictObject({
      length: length(203, 1000),
      behind: quantity('length', { min: 0, max: 500 }, { value: 20, unit: 'mm' }),
    })
    .optional()
    .meta({
      description: 'Instead of distance: the cone from target to open end, and how far behind it the film lies.',
    }),
};

export const exposureExample = {
  known: {
    tubeVoltage: { value: 70, unit: 'kV' },
    tubeCurrent: { value: 7, unit: 'mA' },
    time: { value: 0.4, unit: 's' },
    filmSpeed: 'D',
    cone: { length: { value: 8, unit: '[in_i]' }, behind: { value: 20, unit: 'mm' } },
  },
  wanted: {
    filmSpeed: 'F',
    cone: { length: { value: 16, unit: '[in_i]' }, behind: { value: 20, unit: 'mm' } },
  },
  mains: 60,
};

export const exposureBody = z
  .strictObject({
    ...place,
    tube: id('The unit at the site: what it is set to, and its technique chart.', 'R1').optional(),
    view: id('View, as in the technique chart; with it the chart gives the known exposure.', 'BW_R').optional(),
    patientSize: z.enum(patientSizes).optional().meta({ description: 'Row of the technique chart.', example: 'adult' }),
    known: z
      .strictObject({ ...setting, time: time(0.4).optional(), pulses: z.number().positive().max(3600).optional() })
      .optional()
      .meta({ description: 'An exposure that gives a good film. Left out: what the technique chart asks for.' }),
    wanted: z
      .strictObject(setting)
      .optional()
      .meta({ description: 'What is to be another; the rest stays as it was.' }),
    given: z
      .strictObject({
        tubeVoltage: tubeVoltage.optional(),
        tubeCurrent: tubeCurrent.optional(),
        time: time(0.5).optional(),
        pulses: z.number().positive().max(3600).optional(),
      })
      .optional()
      .meta({ description: 'An exposure that was made: how far was it from the answer?' }),
    voltageRule: z
      .enum(voltageRules)
      .optional()
      .meta({ description: 'By which rule of thumb another voltage is reckoned; 15-kVp if left out.' }),
    speedSource: z
      .enum(speedSources)
      .optional()
      .meta({ description: 'By which source another film speed is reckoned; published-reductions if left out.' }),
    mains: z
      .union(mainsFrequencies.map((one) => z.literal(one)) as [z.ZodLiteral<50>, z.ZodLiteral<60>])
      .optional()
      .meta({ description: 'Frequency of the mains, Hz: answers in pulses too.', example: 60 }),
    pulsesPerPeriod: z
      .union([z.literal(1), z.literal(2)])
      .optional()
      .meta({ description: 'Of the unit’s rectification: 1 if left out.' }),
    output: z
      .strictObject({
        kerma: quantity('kerma', { min: 0.001, max: 1000 }, { value: 1.5, unit: 'mGy' }),
        charge: quantity('charge', { min: 0.001, max: 1000 }, { value: 2.8, unit: 'mA.s' }),
        tubeVoltage,
        distance: length(203, 2000).meta({ description: 'From target to where it was measured.' }),
      })
      .optional()
      .meta({ description: 'Output measured on the unit: gives an estimate of the dose at the end of the cone.' }),
    coneEnd: length(203, 1000).optional().meta({
      description:
        'From target to the end of the cone, for the estimate; left out: as wanted or as the unit is set up.',
    }),
    field: z
      .union([
        z.strictObject({ diameter: length(60, 1000) }),
        z.strictObject({ width: length(40, 1000), height: length(50, 1000) }),
      ])
      .optional()
      .meta({ description: 'Field at the end of the cone: gives the kerma-area product.' }),
    films: z
      .strictObject({ exposures: z.int().min(1).max(1_000_000), retakes: z.int().min(0).max(1_000_000) })
      .optional()
      .meta({
        description:
          'Exposures like this one, retakes included: how much of the dose the retakes were. Left out: those of the unit on record.',
      }),
  })
  .meta({ id: 'ExposureQuestion', example: exposureExample });

export type ExposureBody = z.output<typeof exposureBody>;

const seconds = (description: string) => z.number().meta({ description: `${description}, s.` });

const source = z.object({ text: z.string(), url: z.string().optional(), read: z.enum(['summary', 'practice']) }).meta({
  id: 'ExposureSource',
  description: 'Where the rule was read; `practice`: in no source that could be cited.',
});

const expected = z
  .object({
    ...word,
    technique: z.string().meta({ description: 'The technique chart.' }),
    title: z.string(),
    view: z.string(),
    patientSize: z.string().optional().meta({ description: 'Of the row that was taken; absent: any.' }),
    filmSpeed: z.string(),
    tubeVoltage: z.number().meta({ description: 'kV.' }),
    tubeCurrent: z.number().meta({ description: 'mA.' }),
    time: seconds('Time'),
  })
  .meta({ id: 'TechniqueRow' });

const amount = z.number().meta({ description: 'mGy; mGy cm2 for a product.' });

export const exposureAnswer = z
  .object({
    at: when,
    caution,
    site: z.string().optional(),
    tube: z.string().optional(),
    expected: expected.optional(),
    time: seconds('The time that gives the same density'),
    charge: z.number().meta({ description: 'Current times time, mA s.' }),
    pulses: z
      .object({
        pulses: z.int(),
        off: z.number().meta({ description: 'Exposure against the time asked for, percent.' }),
      })
      .optional(),
    steps: z.array(
      z.object({
        step: z.enum(['speed', 'distance', 'voltage', 'current']),
        factor: z.number().meta({ description: 'Of the time.' }),
        time: seconds('The time after it'),
        rule: z.string(),
        source,
        text: z.string(),
      }),
    ),
    given: z
      .object({ ratio: z.number().meta({ description: 'Exposure given over exposure asked for.' }), text: z.string() })
      .optional(),
    estimate: z
      .object({
        kerma: z.number().meta({ description: 'Incident air kerma at the end of the cone, mGy.' }),
        areaProduct: z.number().optional().meta({ description: 'Kerma times area of the field, mGy cm2.' }),
        avoidable: z
          .object({ of: z.enum(['kerma', 'areaProduct']), total: amount, avoidable: amount, share: z.number() })
          .optional()
          .meta({ description: 'What the retakes were of all of it; share in percent.' }),
        levels: z.array(
          z.object({
            ...{ id: z.string(), place: z.string(), of: z.string(), kerma: z.number(), years: z.string().optional() },
            ...{ source: z.string(), url: z.string(), ratio: z.number(), within: z.boolean() },
          }),
        ),
        leftOut: z.array(z.string()).meta({ description: 'What the estimate leaves out.' }),
        text: z.string(),
      })
      .optional()
      .meta({ description: 'An estimate from the output measured on the unit, never a dose of a patient.' }),
  })
  .meta({ id: 'ExposureAnswer' });
