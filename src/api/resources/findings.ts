import * as z from 'zod';
import { findingStates } from '../../engine/finding.js';
import { severities } from '../../packs/model.js';
import { caution } from '../caution.js';
import { mayUseSite, type Key } from '../keys.js';
import { operation } from '../operation.js';
import { Problem } from '../problems.js';
import { cursor, idText, instant, listOf, nameText, pageSize, siteFilter } from '../query.js';
import { changePage, findingPage, fullFinding } from '../schemas/findings.js';
import type { FindingWithHistory, Services } from '../services.js';
import { changeView, findingView, fullFindingView } from '../views/finding.js';
import { sitesFor } from './events.js';

export const findingId = z.object({ id: idText.meta({ description: 'The finding.' }) });

export const listFindings = operation({
  id: 'listFindings',
  method: 'get',
  path: '/v1/findings',
  tag: 'Findings',
  summary: 'Findings, latest first',
  access: 'findings:read',
  query: z.object({
    site: siteFilter,
    state: listOf(findingStates, 'States, one or more by comma; all, if left out.', 'open,acknowledged'),
    severity: listOf(severities, 'Severities, one or more by comma; all, if left out.', 'law,standard'),
    rule: nameText
      .optional()
      .meta({ description: 'Of this rule, by its full id.', example: 'common/processing-times/development-short' }),
    line: idText.optional().meta({ description: 'About this processing line.', example: 'M1' }),
    tube: idText.optional().meta({ description: 'About this x-ray unit.', example: 'R1' }),
    from: instant.optional().meta({ description: 'Opened at or after.' }),
    to: instant.optional().meta({ description: 'Opened before.' }),
    limit: pageSize,
    cursor,
  }),
  answers: { 200: { description: 'A page.', content: { 'application/json': { schema: findingPage } } } },
  problems: ['invalid-query', 'invalid-cursor'],
  async handle({ key, query, services }) {
    const { site, state, severity, limit = 100, cursor, ...rest } = query;
    const filter = { ...rest, sites: sitesFor(key, site), states: state, severities: severity };
    const { items, next } = await services.findings.list(key.organisation, filter, { limit, cursor });
    return { status: 200, body: { caution, items: items.map(findingView), next } };
  },
});

export const findingChanges = operation({
  id: 'findingChanges',
  method: 'get',
  path: '/v1/findings/changes',
  tag: 'Findings',
  summary: 'What changed, in the order of commits',
  description:
    'For programs that follow along: start without `after`, keep `next`, ask again with it. No change is skipped, whatever else is being written meanwhile.',
  access: 'findings:read',
  query: z.object({
    site: siteFilter,
    after: cursor.meta({ description: 'The `next` of the answer before.' }),
    limit: pageSize,
  }),
  answers: { 200: { description: 'A page.', content: { 'application/json': { schema: changePage } } } },
  problems: ['invalid-query', 'invalid-cursor'],
  async handle({ key, query: { site, after, limit = 100 }, services }) {
    const filter = { sites: sitesFor(key, site) };
    const { items, next, more } = await services.findings.changes(key.organisation, filter, { limit, cursor: after });
    return { status: 200, body: { caution, items: items.map(changeView), next, more } };
  },
});

export const getFinding = operation({
  id: 'getFinding',
  method: 'get',
  path: '/v1/findings/{id}',
  tag: 'Findings',
  summary: 'One finding, with its chain of citations, evidence, trace and history',
  access: 'findings:read',
  params: findingId,
  answers: { 200: { description: 'The finding.', content: { 'application/json': { schema: fullFinding } } } },
  problems: ['unknown-finding'],
  async handle({ key, params, services }) {
    return { status: 200, body: fullFindingView(await theFinding(services, key, params.id)) };
  },
});

/** @throws Problem `unknown-finding`, also when the key is for other sites: ids tell nobody what else there is. */
export async function theFinding(services: Services, key: Key, id: string): Promise<FindingWithHistory> {
  const row = await services.findings.one(key.organisation, id);
  if (row === null || !mayUseSite(key, row.site)) throw new Problem('unknown-finding', `There is no finding ${id}.`);
  return row;
}
