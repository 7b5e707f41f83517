import * as z from 'zod';
import { layers } from '../../packs/model.js';
import { citation } from './common.js';

const head = {
  id: z.string().meta({ example: 'us-wa/processing' }),
  version: z.string().meta({ description: 'Of the pack’s text.' }),
  title: z.string().meta({ description: 'What it is about.' }),
  authority: z.string().meta({ description: 'Who says so.' }),
  layer: z.enum(layers).meta({ description: 'Whose word it is.' }),
  jurisdiction: z
    .string()
    .optional()
    .meta({ description: 'A site must list it for the pack to apply; absent: everywhere.' }),
  from: z.string().optional().meta({ description: 'In force from this local date.' }),
  to: z.string().optional().meta({ description: 'In force through this local date.' }),
};
export const packRow = z
  .object({
    ...head,
    rules: z.array(z.string()).meta({ description: 'Ids of its checks and duties.' }),
    limits: z.array(z.string()).meta({ description: 'Names of the limits it speaks on.' }),
    charts: z.array(z.string()).meta({ description: 'Ids of its charts.' }),
    obligations: z
      .array(z.string())
      .meta({ description: 'What its duties take as attested: `obligation` of an `obligation.done`.' }),
    notKnown: z.array(z.string()).meta({ description: 'What its source was searched for and did not show.' }),
  })
  .meta({ id: 'PackRow' });
export const packList = z.object({ items: z.array(packRow) }).meta({ id: 'PackList' });

const anything = z.record(z.string(), z.unknown());
/** The reader's result, in full; docs/packs.md and the JSON Schema of packs describe the parts. */
export const pack = z
  .object({
    ...head,
    limits: z.array(anything),
    charts: z.array(anything),
    rules: z.array(anything),
    notKnown: z.array(z.object({ topic: z.string(), note: z.string(), citation })),
  })
  .meta({
    id: 'Pack',
    description: 'A pack as read: quantities with their canonical value, rules with their full ids.',
  });
export const packId = z.object({
  id: z
    .string()
    .regex(/^[a-z0-9-]+(\/[a-z0-9-]+)*$/)
    .max(200)
    .meta({ description: 'Its slashes may be sent as they are, or as %2F.', example: 'us-wa/processing' }),
});
