import * as z from 'zod';
import { layers, lookups } from '../../packs/model.js';
import { citation, severity, when } from './common.js';

const bound = z.object({
  text: z.string().meta({ description: 'As a person reads it.', example: '60 F' }),
  value: z.number().optional().meta({ description: 'As the pack writes it, where it is one number.', example: 60 }),
  unit: z.string().optional().meta({ description: 'UCUM unit of that number.', example: '[degF]' }),
  chart: z
    .object({
      id: z.string(),
      title: z.string(),
      layer: z.enum(layers),
      units: z
        .object({ by: z.string(), and: z.string().optional(), gives: z.string() })
        .meta({ description: 'UCUM units of the keys and of the values.' }),
      lookup: z
        .enum(lookups)
        .meta({ description: 'Between two keys: nothing answers, the row of the smaller key, or the straight line.' }),
      rows: z
        .array(z.object({ key: z.number(), and: z.number().optional(), value: z.number() }))
        .meta({ description: 'Ascending by key.', example: [{ key: 68, value: 5 }] }),
    })
    .optional(),
  sheet: z
    .object({ id: z.string(), title: z.string() })
    .optional()
    .meta({ description: 'The maker’s sheet on file for the line, which answers in place of the chart or beside it.' }),
});
const counted = z.enum(['fills', 'day']).optional().meta({
  description: 'From what both were counted, where another day could turn it round: the fills on record, or now.',
});
const noEffect = z
  .object({
    side: z.enum(['min', 'max']),
    pack: z.string(),
    layer: z.enum(layers),
    authority: z.string(),
    citation,
    text: z.string().meta({ description: 'The bound that decides.', example: '2 months' }),
    same: z.boolean().meta({ description: 'It asks for the same.' }),
    counted,
  })
  .meta({
    id: 'NoEffect',
    description:
      'A side on which this layer changes nothing: another of at least its severity is as strict or stricter, compared on ' +
      'what both come to here.',
  });
const word = {
  pack: z.string(),
  authority: z.string().meta({ description: 'Who says so.' }),
  layer: z.enum(layers),
  severity,
  bath: z
    .array(z.string())
    .optional()
    .meta({ description: 'The baths it speaks of; absent: any.', example: ['fixer'] }),
  min: bound.optional(),
  max: bound.optional(),
  target: z.object({ min: z.string(), max: z.string() }).optional().meta({ description: 'Shown, never judged.' }),
  role: z
    .enum(['fallback', 'alternative'])
    .optional()
    .meta({ description: 'fallback: gives way to the maker’s sheet; alternative: either satisfies.' }),
  citation,
  noEffect: z.array(noEffect).optional(),
  deprecated: z
    .object({ reason: z.string(), since: z.string(), replacedBy: z.string().optional() })
    .optional()
    .meta({ description: 'Set aside by its authors; judged all the same.' }),
};
export const limit = z
  .object({
    limit: z.string().meta({ description: 'Its shared name.', example: 'development-time-min' }),
    of: z.string().meta({ description: 'The fact it bounds.', example: 'run.developer.time' }),
    meaning: z.string().meta({ description: 'What that fact is.' }),
    unit: z.string().optional().meta({ description: 'UCUM unit in which the fact is kept.' }),
    line: z.string().optional().meta({ description: 'The line it holds for; absent: all.' }),
    chain: z.array(z.object(word)).meta({ description: 'Binding layers first; empty where nobody speaks at present.' }),
    strictest: z
      .array(
        z.object({
          side: z.enum(['min', 'max']),
          bath: z.string().optional().meta({ description: 'Of which bath, where limits of single baths stand here.' }),
          counted,
          pack: z.string(),
          layer: z.enum(layers),
          citation,
          text: z.string().meta({ description: 'Its bound.', example: '2 months' }),
        }),
      )
      .meta({
        description: 'On each side the one that is nowhere looser than the others; left out where that depends.',
      }),
    conflict: z
      .array(z.string())
      .optional()
      .meta({ description: 'Two layers that cannot both be kept: both citations.' }),
    starts: z
      .array(
        z.object({
          ...word,
          at: when,
          instead: z.string().optional().meta({ description: 'What the same pack says until then.' }),
        }),
      )
      .optional()
      .meta({ description: 'What begins to hold within 60 days.' }),
    ended: z
      .array(z.object({ ...word, at: when.meta({ description: 'The first instant at which it held no longer.' }) }))
      .optional()
      .meta({ description: 'What held within the last year, where nothing has taken its place.' }),
    told: z
      .array(z.string())
      .meta({ description: 'All of it as a person would tell it: who speaks, who is strictest, what has no effect.' }),
  })
  .meta({ id: 'EffectiveLimit' });
