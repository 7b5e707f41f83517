import { createHash, randomUUID } from 'node:crypto';
import { isDeepStrictEqual } from 'node:util';
import * as z from 'zod';
import type { SiteConfig } from '../../events/site.js';
import { canonicalJson } from '../../canonical-json.js';
import { requireSite } from '../auth.js';
import type { Key } from '../keys.js';
import { operation } from '../operation.js';
import { Problem } from '../problems.js';
import { cursor, pageSize } from '../query.js';
import { site, siteBody, siteExample, siteId, sitePage } from '../schemas/sites.js';
import type { Services, SiteRow } from '../services.js';
import { rfc3339, rfc3339Maybe } from '../time.js';
import { configView } from '../views/site.js';
import { eventProblem, ownSource, take } from './intake.js';

const rowView = ({ id, events, lastEventAt, unjudged }: SiteRow) => ({
  id,
  events,
  lastEventAt: rfc3339Maybe(lastEventAt),
  unjudged: unjudged ?? undefined,
});

export const listSites = operation({
  id: 'listSites',
  method: 'get',
  path: '/v1/sites',
  tag: 'Sites',
  summary: 'The sites',
  access: 'findings:read',
  query: z.object({ limit: pageSize, cursor }),
  answers: { 200: { description: 'A page.', content: { 'application/json': { schema: sitePage } } } },
  problems: ['invalid-query', 'invalid-cursor'],
  async handle({ key, query: { limit = 100, cursor }, services }) {
    const { items, next } = await services.sites.list(key.organisation, key.sites ?? undefined, { limit, cursor });
    return { status: 200, body: { items: items.map(rowView), next } };
  },
});

export const getSite = operation({
  id: 'getSite',
  method: 'get',
  path: '/v1/sites/{id}',
  tag: 'Sites',
  summary: 'A site as it is set up now',
  access: 'findings:read',
  params: siteId,
  answers: { 200: { description: 'The site.', content: { 'application/json': { schema: site } } } },
  problems: ['unknown-site'],
  async handle({ key, params, services }) {
    return { status: 200, body: await siteView(services, key, params.id) };
  },
});

export const putSite = operation({
  id: 'putSite',
  method: 'put',
  path: '/v1/sites/{id}',
  tag: 'Sites',
  summary: 'Set a site up, or change how it is set up',
  description:
    'Writes a `site.configured` event in force from `validFrom`. A line or unit that is left out ends; none is ' +
    'ever removed. A change of the time zone takes effect with the next day of the site. The same body again ' +
    'changes nothing.',
  access: 'events:write',
  params: siteId,
  body: { kind: 'json', required: true, schema: siteBody, example: siteExample },
  answers: {
    200: { description: 'The site as it now is.', content: { 'application/json': { schema: site } } },
    201: { description: 'The site is new.', content: { 'application/json': { schema: site } } },
  },
  problems: ['invalid-json', 'invalid-body', 'id-conflict', 'unsupported-media-type', 'too-many-waiting'],
  async handle({ key, params: { id }, body, services }) {
    requireSite(key, id);
    const before = await services.sites.state(key.organisation, id, services.now());
    await configure(services, key, id, body, before?.next ?? before?.site ?? undefined);
    return { status: before === null ? 201 : 200, body: await siteView(services, key, id) };
  },
});

const plain = (value: unknown): unknown => JSON.parse(JSON.stringify(value));

async function configure(
  services: Services,
  key: Key,
  site: string,
  { validFrom, timeZone, ...rest }: z.output<typeof siteBody>,
  present: SiteConfig | undefined,
): Promise<void> {
  const data = plain({ ...rest, zone: timeZone });
  // With an instant of its own the request can be repeated: the same words make the same event.
  const text = canonicalJson({ site, validFrom, data });
  const id = validFrom === undefined ? randomUUID() : createHash('sha256').update(text).digest('hex').slice(0, 40);
  const time = validFrom ?? rfc3339(services.now());
  const reader = await services.events.reader(key.organisation);
  const read = reader(
    { specversion: '1.0', id, source: ownSource, type: 'site.configured', time, site, data },
    undefined,
  );
  if (validFrom === undefined && read.ok && present !== undefined && says(read.incoming.event.data, present)) return;
  const { results } = await take(services, key.organisation, [read]);
  const faults = results[0]?.faults;
  if (faults === undefined) return;
  const errors = faults.map((fault) => ({ ...fault, pointer: inBody(fault.pointer) }));
  const { code, detail } = eventProblem(errors, {});
  throw new Problem(code === 'invalid-event' ? 'invalid-body' : code, detail, { errors });
}

/** Whether a configuration says what is in force already. Who sent it, and their note, is no part of it. */
function says(data: object, present: SiteConfig): boolean {
  const config = (given: object) => plain({ ...given, by: undefined, note: undefined });
  return isDeepStrictEqual(config(data), config(present));
}

/** The pointer into the body of what an event's pointer points at. */
function inBody(pointer: string): string {
  if (pointer === '/time') return '/validFrom';
  return pointer.replace(/^\/data(?=\/|$)/, '').replace(/^\/zone(?=\/|$)/, '/timeZone');
}

async function siteView(services: Services, key: Key, id: string) {
  requireSite(key, id);
  const row = await services.sites.one(key.organisation, id);
  const state = row === null ? null : await services.sites.state(key.organisation, id, services.now());
  const config = state?.site ?? state?.next;
  if (row === null || state === null || config === null || config === undefined) throw unknownSite(id);
  const next = state.site === null || state.next === null ? undefined : configView(state.next);
  return { ...rowView(row), ...configView(config), next };
}

/** @param at the instant asked about: a site that was not set up yet has no board, which is not a clear one. */
export function unknownSite(id: string, at?: number): Problem {
  const then = at === undefined ? '' : `, or it was not set up yet at ${rfc3339(at)}`;
  return new Problem('unknown-site', `There is no site ${id}${then}.`);
}
