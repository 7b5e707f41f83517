import * as z from 'zod';
import { bathTemperature } from '../../events/bath.js';
import { methods } from '../../events/film.js';
import { id } from '../../events/parts.js';
import { quantity } from '../../events/quantity.js';
import { layers } from '../../packs/model.js';
import { caution, when } from './common.js';
import { place, word } from './consult.js';

const temperature = (value: number) => quantity('temperature', bathTemperature, { value, unit: '[degF]' });
const time = (value: number, unit: 's' | 'min') => quantity('time', { min: 1, max: 7200 }, { value, unit });

export const developmentExample = {
  jurisdictions: ['us', 'us-wa'],
  method: 'manual',
  temperature: { value: 70, unit: '[degF]' },
  time: { value: 4, unit: 'min' },
  fixer: { clearing: { value: 2, unit: 'min' } },
};

export const developmentBody = z
  .strictObject({
    ...place,
    line: id('The processing line; left out: the only one of this way of processing.', 'M1').optional(),
    method: z
      .enum(methods)
      .optional()
      .meta({ description: 'How it is processed; left out: as the line is set up.', example: 'manual' }),
    chemistry: z
      .enum(['standard', 'rapid'])
      .optional()
      .meta({ description: 'Left out: what the line holds; standard in a tank, rapid at the chair.' }),
    temperature: temperature(70),
    time: time(4, 'min').optional(),
    fixer: z
      .strictObject({ clearing: time(2, 'min'), fresh: time(1, 'min').optional() })
      .meta({ description: 'Clearing time now, and when the bath was fresh; left out: what is on record.' })
      .optional(),
    wash: z
      .strictObject({ temperature: temperature(64) })
      .meta({ description: 'Of the wash water.' })
      .optional(),
  })
  .meta({ id: 'DevelopmentQuestion', example: developmentExample });

const seconds = (description: string) => z.number().meta({ description: `${description}, s.` });

const answer = z
  .object({
    ...word,
    role: z
      .enum(['fallback', 'alternative'])
      .optional()
      .meta({ description: 'It gives way to a maker’s sheet on file, or is met by either.' }),
    chart: z
      .object({
        id: z.string(),
        title: z.string(),
        layer: z.enum(layers),
        rows: z
          .object({ by: z.string(), from: z.number(), to: z.number() })
          .meta({ description: 'The fact it is looked up by, its first and its last row in the canonical unit.' }),
      })
      .optional(),
    time: seconds('What it says, an allowance included').optional(),
    silent: z.enum(['below', 'above', 'gap', 'notInForce', 'lacks']).optional().meta({
      description: 'Why it has no answer: outside its rows, a doubtful row, not in force, a fact is not known.',
    }),
  })
  .meta({ id: 'ChartAnswer', description: 'One chart, or one plain bound, and what it says.' });

export const developmentAnswer = z
  .object({
    at: when,
    caution,
    site: z.string().optional(),
    line: z.string().optional(),
    method: z.enum(methods),
    chemistry: z.string().optional(),
    temperature: z.number().meta({ description: 'Cel.' }),
    time: seconds('The developing time; absent: no chart in force has an answer').nullable(),
    chart: z.string().nullable().meta({ description: 'Title of the chart that answered.' }),
    source: answer.nullable().meta({ description: 'The one word that answered; two are never mixed.' }),
    text: z.string().meta({ description: 'The answer in words.' }),
    why: z.array(z.string()).meta({ description: 'Why this chart answered, and which were silent.' }),
    given: z
      .object({
        time: seconds('The time that was asked about'),
        stands: z.enum(['under', 'on', 'over']),
        off: seconds('From the chart’s own time; below 0: too short'),
        offPercent: z.number(),
        most: seconds('The longest that is still no mistake').optional(),
        text: z.string(),
      })
      .optional(),
    asked: z.array(answer).meta({ description: 'Every chart and bound that was asked, the most binding first.' }),
    fixing: z.object({
      least: seconds('At least').optional(),
      longest: seconds('At most, where the clearing time is known').optional(),
      clearing: seconds('The clearing time').optional(),
      ratio: z.number().optional().meta({ description: 'Clearing time over that of the fresh bath.' }),
      exhausted: z.boolean().optional(),
      text: z.string(),
    }),
    washing: z.object({ least: seconds('At least').optional(), source: answer.optional(), text: z.string() }),
  })
  .meta({ id: 'DevelopmentAnswer' });
