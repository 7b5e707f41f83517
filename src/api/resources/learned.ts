import * as z from 'zod';
import { caution } from '../caution.js';
import { operation } from '../operation.js';
import { asOf } from '../query.js';
import { learnedAnswer } from '../schemas/learned.js';
import { siteId } from '../schemas/sites.js';
import { rfc3339 } from '../time.js';
import { instantOf } from './board.js';
import { unknownSite } from './sites.js';

export const getLearned = operation({
  id: 'getLearnedCauses',
  method: 'get',
  path: '/v1/sites/{id}/causes',
  tag: 'Sites',
  summary: 'What confirmed causes have taught: how likely each is here, as published and now',
  description:
    'Causes of faulty films that people confirmed at this site and in its group, how much each weighs by now, and what ' +
    'they did to its prior; the latest with the prior before and after. To take one back, retract the event that ' +
    'confirmed it, or confirm another cause for the same finding.',
  access: 'findings:read',
  params: siteId,
  query: z.object({ at: asOf }),
  answers: { 200: { description: 'What was learned.', content: { 'application/json': { schema: learnedAnswer } } } },
  problems: ['invalid-query', 'unknown-site'],
  async handle({ key, params: { id }, query, services }) {
    const at = instantOf(services, key, id, query.at);
    const found = await services.sites.learned(key.organisation, id, at);
    if (found === null) throw unknownSite(id, at);
    const lessons = found.lessons.map(({ at: then, ...lesson }) => ({ at: rfc3339(then), ...lesson }));
    return { status: 200, body: { site: id, at: rfc3339(at), caution, items: [...found.causes], lessons } };
  },
});
