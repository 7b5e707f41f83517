import * as z from 'zod';
import { eventAttribute, id, label } from '../../events/parts.js';
import { scopes } from '../keys.js';
import { when } from './common.js';

const scope = z.enum(scopes).meta({
  id: 'Scope',
  description: 'What a key may do; `admin` includes the rest. `reports:read` is used by no address yet.',
});

export const keyExample = {
  name: 'practice software',
  scopes: ['events:write'],
  sites: ['brackenfold'],
  sources: ['pms'],
};

export const keyBody = z
  .strictObject({
    name: label('What it is for: a program, an office.', 'practice software'),
    scopes: z.array(scope).min(1).max(scopes.length).meta({ description: 'What it may do.' }),
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
    example: keyExample,
  });

const shape = {
  id: z.string().meta({ description: 'By which it is revoked; no secret.' }),
  name: z.string().meta({ description: 'What it is for.' }),
  scopes: z.array(z.string()).meta({ description: 'What it may do.' }),
  sites: z.array(z.string()).nullable().meta({ description: 'The only sites it is for; null: all.' }),
  sources: z.array(z.string()).nullable().meta({ description: 'The only senders it may send as; null: any.' }),
  createdAt: when,
  revokedAt: when.nullable().meta({ description: 'Null while it is in force.' }),
};
export const key = z.object(shape).meta({ id: 'Key' });
export const keyList = z.object({ items: z.array(key) }).meta({ id: 'KeyList' });
export const newKey = z
  .object({
    ...shape,
    secret: z.string().meta({ description: 'The key itself. Shown this once; only its hash is stored.' }),
  })
  .meta({ id: 'NewKey' });
