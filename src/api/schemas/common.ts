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
    text: z.string().meta({ description: 'What a person would look up.' }),
    url: z.string().optional().meta({ description: 'Where it was read.' }),
    shown: z.string().optional().meta({ description: 'The date or edition printed on the copy that was read.' }),
    read: z.enum(readings).meta({ description: 'How the source was seen; only `text` can carry the severity `law`.' }),
    note: z.string().optional().meta({ description: 'What to know of the copy that was read.' }),
  })
  .meta({ id: 'Citation', description: 'Who says so.', example: { text: 'WAC 246-225A-090', read: 'text' } });

export const verdict = z
  .object({
    limit: z.string().meta({ description: 'The limit, by its shared name.', example: 'development-time-min' }),
    pack: z.string().meta({ description: 'The pack that says so.' }),
    version: z.string().meta({ description: 'The text of it that judged.' }),
    layer: z.enum(layers).meta({ description: 'Who speaks.' }),
    severity,
    side: z.enum(['min', 'max']).meta({ description: 'At least, or at most.' }),
    bound: z
      .number()
      .optional()
      .meta({ description: 'In the canonical unit; for a due bound, the instant in ms. Absent: no answer.' }),
    text: z.string().meta({ description: 'The bound as a person reads it.', example: '4:00' }),
    chart: z.string().optional().meta({ description: 'The chart that gave the bound.' }),
    verdict: z.enum(['broken', 'met', 'unknown']).meta({ description: 'Whether the value keeps to it.' }),
    citation,
  })
  .meta({ id: 'Verdict', description: 'One layer’s word on a value.' });

export const eventRef = z
  .object({
    at: when,
    source: z.string().meta({ description: 'Its sender.' }),
    id: z.string().meta({ description: 'Its id.' }),
    type: z.string().meta({ description: 'Its type.' }),
  })
  .meta({ id: 'EventRef', description: 'An event that speaks for something.' });

export const fault = z
  .object({
    pointer: z.string().meta({
      description: 'JSON pointer into the body or the event, or the name of a query parameter.',
      example: '/data/developer/temperature/unit',
    }),
    code: z.string().meta({ description: 'Stable; /docs/errors lists them.', example: 'unit' }),
    message: z.string().meta({ description: 'Reads on from the pointer: “/data/line is required”.' }),
    allowed: z
      .array(z.union([z.string(), z.number(), z.boolean()]))
      .optional()
      .meta({ description: 'What is accepted there.' }),
    nearest: z.string().optional().meta({ description: 'The known name that was probably meant.', example: '[degF]' }),
  })
  .meta({ id: 'Fault', description: 'One thing that is wrong.' });

export const problem = z
  .looseObject({
    type: z
      .string()
      .meta({ description: 'Address of the explanation on this server.', example: '/docs/errors#invalid-event' }),
    title: z.string().meta({ description: 'What the code means.' }),
    status: z.number().int().meta({ description: 'The HTTP status.' }),
    code: z.enum(problemCodes as [string, ...string[]]).meta({ description: 'What a program should look at.' }),
    detail: z.string().optional().meta({ description: 'What was wrong here, as a sentence.' }),
    errors: z.array(fault).optional().meta({ description: 'Every fault found, twenty at most.' }),
  })
  .meta({ id: 'Problem', description: 'RFC 9457 problem details.' });

export const next = z.string().optional().meta({ description: 'Cursor of the next page; absent on the last.' });
