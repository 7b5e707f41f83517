import * as z from 'zod';
import { caution, when } from './common.js';

const wanted = z
  .object({
    event: z.string().meta({ description: 'Its type.', example: 'bath.measured' }),
    with: z
      .record(z.string(), z.string())
      .meta({ description: 'Words that its fields must have.', example: { bath: 'developer' } }),
    fields: z
      .array(z.string())
      .meta({ description: 'Fields, by dotted name, that must be there.', example: ['temperature'] }),
  })
  .meta({ id: 'WantedEvent', description: 'An event that would supply what is missing.' });

const missing = z
  .object({
    fact: z.string().optional().meta({
      description: 'The fact; absent where a duty has nothing on record, or an event does not name what it is about.',
      example: 'developer.temperature',
    }),
    meaning: z.string().meta({ description: 'What it is.' }),
    why: z.enum(['missing', 'stale', 'doubtful', 'unnamed']).meta({
      description:
        'Nobody said; its reading is too old; the instrument it was read with failed its check; or the event does not name what the rule is about.',
    }),
    text: z
      .string()
      .meta({ description: 'The same as a person reads it.', example: 'no developer temperature within 4 h' }),
    goodFor: z.string().optional().meta({ description: 'How long a reading is good.', example: '4 h' }),
    readAt: when.optional().meta({ description: 'When it was last read.' }),
    instrument: z.string().optional().meta({ description: 'What is in doubt.', example: 'thermometer-1' }),
    send: z.array(wanted).meta({ description: 'Any of these supplies it.' }),
  })
  .meta({ id: 'MissingFact' });

const unanswered = z
  .object({
    limit: z.string().meta({ description: 'The limit, by its shared name.', example: 'development-time-min' }),
    pack: z.string().meta({ description: 'The pack that says it.' }),
    side: z.enum(['min', 'max']),
    chart: z.string().meta({ description: 'The chart that was asked.' }),
    by: z
      .string()
      .optional()
      .meta({ description: 'The fact it is looked up by.', example: 'run.developer.temperature' }),
    key: z.number().optional().meta({ description: 'That fact, in its canonical unit.', example: 28.9 }),
    why: z.enum(['below', 'above', 'gap', 'notInForce']).meta({
      description:
        'Under its first row, over its last, where it has a gap or the copy that was read is doubtful; or the chart, then by its id, is not in force at the site.',
    }),
    text: z.string().meta({ description: 'The same as a person reads it.' }),
  })
  .meta({ id: 'UnansweredLimit', description: 'Every fact is there, and the chart has no answer for it.' });

const item = z
  .object({
    rule: z.string(),
    title: z.string(),
    kind: z.enum(['check', 'duty']),
    topic: z.string().meta({
      description: 'What it is about. Of films and fills, which come anew all the time, their line.',
      example: 'line:M1',
    }),
    line: z.string().optional(),
    tube: z.string().optional(),
    bath: z.string().optional(),
    since: when.meta({ description: 'The first time it could not be judged since it last was.' }),
    latest: when.meta({ description: 'The latest time; of a duty, the instant asked about.' }),
    count: z.number().int().optional().meta({ description: 'How often; absent for duties, which wait all the time.' }),
    text: z.string().meta({
      description: 'All of it as a person reads it.',
      example:
        'Not evaluable at M1 since Mon 2 Mar: no developer temperature within 4 h; send bath.measured with bath developer and temperature or day.opened with temperature.',
    }),
    missing: z.array(missing),
    unanswered: z.array(unanswered),
    finding: z.string().optional().meta({ description: 'Its open finding, which stays as it is meanwhile.' }),
    hold: z.enum(['line', 'tube']).optional().meta({ description: 'What that finding holds.' }),
  })
  .meta({ id: 'NotEvaluable', description: 'A rule in force that cannot be judged. Never a breach, never a pass.' });

export const notEvaluableAnswer = z
  .object({ site: z.string(), at: when, caution, items: z.array(item) })
  .meta({ id: 'NotEvaluableList' });
