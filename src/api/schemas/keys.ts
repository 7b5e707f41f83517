import * as z from 'zod';
import { eventAttribute, id, label } from '../../events/parts.js';
import { scopes } from '../keys.js';
import { when } from './common.js';

const scope = z.enum(scopes).meta({
  id: 'Scope',
  description:
    'What a key may do; `admin` includes the rest. `packs:write` and `reports:read` are used by no address yet.',
});

export const keyBody = z
  .strictObject({
    name: label('What it is for: a program, an office.', 'practice software'),
    scopes: z.array(scope).min(1).max(scopes.length),
    sites: z
      .array(id('A site.', 'brackenfold'))
      .min(1)
      .max(1000)
      .optional()
      .meta({ description: 'Only these sites; left out: all. A bound key must give some of its own.' }),
    sources: z.array(eventAttribute('A sender.', 'pms')).min(1).max(100).optional().meta({
      description:
        'Only events with these senders; left out: any. What the API writes itself is sent as `stepwedge/api`. A bound key must give some of its own.',
    }),
  })
  .meta({
    id: 'KeyBody',
    example: { name: 'practice software', scopes: ['events:write'], sites: ['brackenfold'], sources: ['pms'] },
  });

const shape = {
  id: z.string(),
  name: z.string(),
  scopes: z.array(z.string()),
  sites: z.array(z.string()).nullable(),
  sources: z.array(z.string()).nullable(),
  createdAt: when,
  revokedAt: when.nullable(),
};
export const key = z.object(shape).meta({ id: 'Key' });
export const keyList = z.object({ items: z.array(key) }).meta({ id: 'KeyList' });
export const newKey = z
  .object({
    ...shape,
    secret: z.string().meta({ description: 'The key itself. Shown this once; only its hash is stored.' }),
  })
  .meta({ id: 'NewKey' });
