import * as z from 'zod';
import { layers, readings, severities } from '../../packs/model.js';
import { problemCodes } from '../problems.js';

/** Pieces of answers that several resources share. */

export const when = z.iso.datetime().meta({ description: 'RFC 3339, UTC.', example: '2026-03-09T07:00:00.000Z' });
export const caution = z.string().meta({
  description: 'Part of every answer that could steer work on a patient.',
  example: 'The dentist decides. Local code and the maker’s sheet come first.',
});
export const severity = z.enum(severities).meta({
  id: 'Severity',
  description:
    'On whose word: advice, warning (common practice), standard (professional or maker’s), law (outside a rule of law as read).',
});
export const citation = z
  .object({
    text: z.string(),
    url: z.string().optional(),
    shown: z.string().optional().meta({ description: 'The date or edition printed on the copy that was read.' }),
    read: z.enum(readings).meta({ description: 'How the source was seen; only `text` can carry the severity `law`.' }),
    note: z.string().optional(),
  })
  .meta({ id: 'Citation', example: { text: 'WAC 246-225A-090', read: 'text' } });

export const verdict = z
  .object({
    limit: z.string(),
    pack: z.string(),
    layer: z.enum(layers),
    severity,
    side: z.enum(['min', 'max']),
    bound: z
      .number()
      .optional()
      .meta({ description: 'In the canonical unit; for a due bound, the instant in ms. Absent: no answer.' }),
    text: z.string().meta({ description: 'The bound as a person reads it.', example: '4:00' }),
    chart: z.string().optional(),
    verdict: z.enum(['broken', 'met', 'unknown']),
    citation,
  })
  .meta({ id: 'Verdict', description: 'One layer’s word on a value.' });

export const eventRef = z
  .object({ at: when, source: z.string(), id: z.string(), type: z.string() })
  .meta({ id: 'EventRef', description: 'An event that speaks for something.' });

export const fault = z
  .object({
    pointer: z.string().meta({
      description: 'JSON pointer into the body or the event, or the name of a query parameter.',
      example: '/data/developer/temperature/unit',
    }),
    code: z.string().meta({ example: 'unit' }),
    message: z.string(),
    allowed: z.array(z.union([z.string(), z.number(), z.boolean()])).optional(),
    nearest: z.string().optional().meta({ description: 'The known name that was probably meant.', example: '[degF]' }),
  })
  .meta({ id: 'Fault' });

export const problem = z
  .looseObject({
    type: z
      .string()
      .meta({ description: 'Address of the explanation on this server.', example: '/docs/errors#invalid-event' }),
    title: z.string(),
    status: z.number().int(),
    code: z.enum(problemCodes as [string, ...string[]]),
    detail: z.string().optional(),
    errors: z.array(fault).optional(),
  })
  .meta({ id: 'Problem', description: 'RFC 9457 problem details.' });

export const next = z.string().optional().meta({ description: 'Cursor of the next page; absent on the last.' });
