import * as z from 'zod';
import type { DueItem } from '../../engine/due.js';
import type { EffectiveLimit, Turn } from '../../engine/limits.js';
import { requireSite } from '../auth.js';
import { caution } from '../caution.js';
import type { Key } from '../keys.js';
import { operation } from '../operation.js';
import { faulty } from '../faults.js';
import { asOf } from '../query.js';
import { boardAnswer, dueAnswer, limitsAnswer, siteId } from '../schemas/sites.js';
import type { Services } from '../services.js';
import { notEvaluableAnswer } from '../schemas/not-evaluable.js';
import { rfc3339, rfc3339Maybe } from '../time.js';
import { unknownSite } from './sites.js';

/** How far ahead somebody may ask what will be due: every day of it is worked through. */
const farthest = 400 * 86_400_000;

const query = z.object({ at: asOf });

/** The instant asked about, else now. @throws Problem for a site out of the key's bounds, or too far ahead. */
export function instantOf(services: Services, key: Key, site: string, at: number | undefined): number {
  requireSite(key, site);
  const now = services.now();
  if (at !== undefined && at > now + farthest) {
    const message = 'must not lie more than 400 days ahead';
    throw faulty('invalid-query', [{ pointer: 'at', code: 'out-of-range', message }]);
  }
  return at ?? now;
}

const dueView = (item: DueItem) => ({ ...item, due: rfc3339(item.due) });

export const getBoard = operation({
  id: 'getBoard',
  method: 'get',
  path: '/v1/sites/{id}/board',
  tag: 'Sites',
  summary: 'What the person at the darkroom door reads',
  description:
    'The state of each line and unit (clear, check, hold), at most three cards, law and standard still to be resolved, what is due, the weekly list, and work of people that found no finding. It hides nothing from lists and reports.',
  access: 'findings:read',
  params: siteId,
  query,
  answers: { 200: { description: 'The board.', content: { 'application/json': { schema: boardAnswer } } } },
  problems: ['invalid-query', 'unknown-site'],
  async handle({ key, params: { id }, query, services }) {
    const at = instantOf(services, key, id, query.at);
    const found = await services.sites.board(key.organisation, id, at);
    if (found === null) throw unknownSite(id, at);
    const { board, warnings } = found;
    const { at: stands, ...rest } = board;
    return {
      status: 200,
      body: {
        site: id,
        at: rfc3339(stands),
        caution,
        ...rest,
        cards: board.cards.map((card) => ({ ...card, since: rfc3339(card.since) })),
        standing: board.standing.map((item) => ({ ...item, since: rfc3339(item.since) })),
        due: board.due.map(dueView),
        weekly: board.weekly.map((item) => ({ ...item, since: rfc3339(item.since) })),
        orphans: board.orphans.map(({ ref, instant, ...address }) => ({
          event: { ...ref, at: rfc3339(ref.at) },
          ...address,
          instant: rfc3339Maybe(instant),
        })),
        warnings,
      },
    };
  },
});

export const getDue = operation({
  id: 'getDue',
  method: 'get',
  path: '/v1/sites/{id}/due',
  tag: 'Sites',
  summary: 'What is due when, soonest first',
  access: 'findings:read',
  params: siteId,
  query,
  answers: { 200: { description: 'The list.', content: { 'application/json': { schema: dueAnswer } } } },
  problems: ['invalid-query', 'unknown-site'],
  async handle({ key, params: { id }, query, services }) {
    const at = instantOf(services, key, id, query.at);
    const items = await services.sites.due(key.organisation, id, at);
    if (items === null) throw unknownSite(id, at);
    return { status: 200, body: { site: id, at: rfc3339(at), caution, items: items.map(dueView) } };
  },
});

function limitView({ starts, ended, ...limit }: EffectiveLimit) {
  const dated = (turns: readonly Turn[] | undefined) => turns?.map(({ at, ...turn }) => ({ ...turn, at: rfc3339(at) }));
  return { ...limit, starts: dated(starts), ended: dated(ended) };
}

export const getLimits = operation({
  id: 'getLimits',
  method: 'get',
  path: '/v1/sites/{id}/limits',
  tag: 'Sites',
  summary: 'Every limit in force, with its chain of layers and citations',
  access: 'findings:read',
  params: siteId,
  query,
  answers: { 200: { description: 'The limits.', content: { 'application/json': { schema: limitsAnswer } } } },
  problems: ['invalid-query', 'unknown-site'],
  async handle({ key, params: { id }, query, services }) {
    const at = instantOf(services, key, id, query.at);
    const found = await services.sites.limits(key.organisation, id, at);
    if (found === null) throw unknownSite(id, at);
    return {
      status: 200,
      body: { site: id, at: rfc3339(at), caution, items: found.items.map(limitView), warnings: found.warnings },
    };
  },
});

export const getNotEvaluable = operation({
  id: 'getNotEvaluable',
  method: 'get',
  path: '/v1/sites/{id}/not-evaluable',
  tag: 'Sites',
  summary: 'Rules that cannot be judged, since when, and what to send',
  description:
    'Every rule in force that could not be judged when it was last met: the facts that are missing, stale or in doubt, with the events that would supply them, and charts without an answer. Each goes as soon as its rule can be judged, or is no longer in force. Unknown is never a breach and never a pass.',
  access: 'findings:read',
  params: siteId,
  query,
  answers: {
    200: { description: 'The rules, longest first.', content: { 'application/json': { schema: notEvaluableAnswer } } },
  },
  problems: ['invalid-query', 'unknown-site'],
  async handle({ key, params: { id }, query, services }) {
    const at = instantOf(services, key, id, query.at);
    const found = await services.sites.notEvaluable(key.organisation, id, at);
    if (found === null) throw unknownSite(id, at);
    const items = found.map((item) => ({
      ...item,
      since: rfc3339(item.since),
      latest: rfc3339(item.latest),
      missing: item.missing.map((one) => ({ ...one, readAt: rfc3339Maybe(one.readAt) })),
    }));
    return { status: 200, body: { site: id, at: rfc3339(at), caution, items } };
  },
});
