import * as z from 'zod';
import { requireOwnSender, requireSite } from '../auth.js';
import type { Key } from '../keys.js';
import { mistaken } from '../../packs/jurisdictions.js';
import { faulty } from '../faults.js';
import { operation } from '../operation.js';
import { Problem } from '../problems.js';
import { cursor, pageSize } from '../query.js';
import { site, siteBody, siteExample, siteId, sitePage } from '../schemas/sites.js';
import type { Services, SiteRow } from '../services.js';
import { rfc3339, rfc3339Maybe } from '../time.js';
import { configView } from '../views/site.js';
import { configure } from './configure-site.js';

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
    'changes nothing. Another body for the same instant takes the earlier one back (`event.retracted`) and stands in ' +
    'its place; where another sender configured the site at that very instant, the answer is `conflict`.',
  access: 'events:write',
  params: siteId,
  body: { kind: 'json', required: true, schema: siteBody, example: siteExample },
  answers: {
    200: { description: 'The site as it now is.', content: { 'application/json': { schema: site } } },
    201: { description: 'The site is new.', content: { 'application/json': { schema: site } } },
  },
  problems: ['invalid-json', 'invalid-body', 'conflict', 'unsupported-media-type', 'too-many-waiting'],
  async handle({ key, params: { id }, body, services }) {
    requireSite(key, id);
    requireOwnSender(key);
    const { jurisdictions } = await services.packs.present(key.organisation);
    refuseMistaken(body.jurisdictions, jurisdictions);
    const before = await services.sites.state(key.organisation, id, services.now());
    await configure(services, key, id, body, before?.next ?? before?.site ?? undefined);
    return { status: before === null ? 201 : 200, body: await siteView(services, key, id) };
  },
});

/** A slip of the pen would switch a law off without a word. @throws Problem */
function refuseMistaken(jurisdictions: readonly string[], known: ReadonlySet<string>): void {
  const errors = jurisdictions.flatMap((one, at) => {
    const found = mistaken(one, known);
    const allowed = [...known].sort();
    return found === undefined
      ? []
      : [{ pointer: `/jurisdictions/${at}`, code: 'unknown-jurisdiction', allowed, ...found }];
  });
  if (errors.length > 0) throw faulty('invalid-body', errors);
}

async function siteView(services: Services, key: Key, id: string) {
  requireSite(key, id);
  const row = await services.sites.one(key.organisation, id);
  const state = row === null ? null : await services.sites.state(key.organisation, id, services.now());
  const config = state?.site ?? state?.next;
  if (row === null || state === null || config === null || config === undefined) throw unknownSite(id);
  const next = state.site === null || state.next === null ? undefined : configView(state.next);
  const warnings = (await services.packs.present(key.organisation)).unspoken(config, services.now());
  return { ...rowView(row), ...configView(config), warnings, next };
}

/** @param at the instant asked about: a site that was not set up yet has no board, which is not a clear one. */
export function unknownSite(id: string, at?: number): Problem {
  const then = at === undefined ? '' : `, or it was not set up yet at ${rfc3339(at)}`;
  return new Problem('unknown-site', `There is no site ${id}${then}.`);
}
