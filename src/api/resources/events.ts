import * as z from 'zod';
import { eventTypes } from '../../events/catalogue.js';
import type { EventFault } from '../../ledger/results.js';
import type { Key } from '../keys.js';
import { operation } from '../operation.js';
import { cursor, instant, nameText, pageSize, siteFilter } from '../query.js';
import { requireSite } from '../auth.js';
import { eventPage, rejectedPage } from '../schemas/events.js';
import { rfc3339 } from '../time.js';

const from = instant.optional().meta({ description: 'From this instant on.' });
const to = instant.optional().meta({ description: 'Before this instant.' });
const senderFilter = nameText.optional().meta({ description: 'Only events of this sender.', example: 'pms' });

/** The sites a list may show: the one asked for, else those the key is bound to; undefined: all. */
export function sitesFor(key: Key, asked: string | undefined): readonly string[] | undefined {
  if (asked === undefined) return key.sites ?? undefined;
  requireSite(key, asked);
  return [asked];
}

export const getEvents = operation({
  id: 'listEvents',
  method: 'get',
  path: '/v1/events',
  tag: 'Events',
  summary: 'The ledger',
  description: 'Events in the order in which they count: by instant, then by the rank of their type, sender and id.',
  access: 'findings:read',
  query: z.object({
    site: siteFilter,
    type: z
      .enum(eventTypes as [string, ...string[]])
      .optional()
      .meta({ description: 'Only events of this type.', example: 'film.processed' }),
    source: senderFilter,
    from,
    to,
    limit: pageSize,
    cursor,
  }),
  answers: { 200: { description: 'A page of events.', content: { 'application/json': { schema: eventPage } } } },
  problems: ['invalid-query', 'invalid-cursor'],
  async handle({ key, query: { site, type, source, from, to, limit = 100, cursor }, services }) {
    const filter = { sites: sitesFor(key, site), type, source, from, to };
    const { items, next } = await services.events.list(key.organisation, filter, { limit, cursor });
    return {
      status: 200,
      body: {
        items: items.map(({ source, id, type, site, at, subject, data, receivedAt }) => ({
          specversion: '1.0',
          id,
          source,
          type,
          time: rfc3339(at),
          site,
          subject: subject ?? undefined,
          data,
          receivedat: rfc3339(receivedAt),
        })),
        next,
      },
    };
  },
});

export const getRejected = operation({
  id: 'listRejected',
  method: 'get',
  path: '/v1/rejected',
  tag: 'Events',
  summary: 'Events that were refused in the last thirty days',
  description: 'Latest first, with everything that was wrong. Their content is not kept, only their envelope.',
  access: 'findings:read',
  query: z.object({ site: siteFilter, source: senderFilter, from, to, limit: pageSize, cursor }),
  answers: { 200: { description: 'A page.', content: { 'application/json': { schema: rejectedPage } } } },
  problems: ['invalid-query', 'invalid-cursor'],
  async handle({ key, query: { site, source, from, to, limit = 100, cursor }, services }) {
    const filter = { sites: sitesFor(key, site), source, from, to };
    const { items, next } = await services.events.rejected(key.organisation, filter, { limit, cursor });
    return {
      status: 200,
      body: {
        items: items.map(({ receivedAt, faults, ...rest }) => ({
          ...rest,
          faults: key.sites === null ? faults : faults.map(withoutOtherSites),
          receivedAt: rfc3339(receivedAt),
        })),
        next,
      },
    };
  },
});

/** Somebody with more rights may have been told of sites that a bound key knows nothing of. */
function withoutOtherSites(fault: EventFault): EventFault {
  const { pointer, code } = fault;
  if (code === 'unknown-site') return { pointer, code, message: 'No such site is configured.' };
  if (code === 'id-conflict')
    return { pointer, code, message: 'The same source and id came before with other content.' };
  return fault;
}
