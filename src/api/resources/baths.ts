import * as z from 'zod';
import { caution } from '../caution.js';
import { operation } from '../operation.js';
import { asOf } from '../query.js';
import { bathsAnswer } from '../schemas/baths.js';
import { siteId } from '../schemas/sites.js';
import { rfc3339, rfc3339Maybe } from '../time.js';
import { instantOf } from './board.js';
import { unknownSite } from './sites.js';

export const getBaths = operation({
  id: 'getBaths',
  method: 'get',
  path: '/v1/sites/{id}/baths',
  tag: 'Sites',
  summary: 'What each bath has processed since its change, and when it will reach its limits',
  description:
    'Age, films and film area of the developer and the fixer of every line, and each limit in force with when it will ' +
    'be reached: an age at an instant, films and area at the present rate of use, a drift by its control chart, the ' +
    'last three with an interval.',
  access: 'findings:read',
  params: siteId,
  query: z.object({ at: asOf }),
  answers: { 200: { description: 'The baths.', content: { 'application/json': { schema: bathsAnswer } } } },
  problems: ['invalid-query', 'unknown-site'],
  async handle({ key, params: { id }, query, services }) {
    const at = instantOf(services, key, id, query.at);
    const found = await services.sites.baths(key.organisation, id, at);
    if (found === null) throw unknownSite(id, at);
    const items = found.map(({ since, reaches, ...bath }) => ({
      ...bath,
      since: rfc3339Maybe(since),
      reaches: reaches.map(({ due, ...reach }) => ({ ...reach, due: rfc3339Maybe(due) })),
    }));
    return { status: 200, body: { site: id, at: rfc3339(at), caution, items } };
  },
});
