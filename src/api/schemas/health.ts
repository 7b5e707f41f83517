import * as z from 'zod';

export const entrance = z
  .object({
    name: z.string(),
    version: z.string(),
    docs: z.string().meta({ description: 'Pages about the API.' }),
    contract: z.string().meta({ description: 'The same as OpenAPI.' }),
    ready: z.string(),
    events: z.string(),
    findings: z.string(),
    sites: z.string(),
  })
  .meta({ id: 'Entrance', description: 'Where things are.' });
export const live = z.object({ status: z.literal('live') }).meta({ id: 'Live' });
export const ready = z
  .object({
    status: z.enum(['ready', 'degraded']).meta({ description: 'degraded: it serves, and some sites are not judged.' }),
    database: z.enum(['postgresql', 'embedded']).meta({ description: 'Which database it runs on.' }),
    durability: z.string().meta({ description: 'What a committed event survives.' }),
    migration: z.string().nullable().meta({ description: 'The newest migration applied.' }),
    unjudgedSites: z.number().int().meta({ description: 'Sites whose latest events are stored and not judged.' }),
    packs: z.number().int().meta({ description: 'Packs it judges by.' }),
    version: z.string().meta({ description: 'Of the server.' }),
  })
  .meta({ id: 'Ready' });
