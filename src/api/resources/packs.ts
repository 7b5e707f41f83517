import { operation } from '../operation.js';
import { Problem } from '../problems.js';
import { nearest } from '../../events/nearest.js';
import { obligationsOf } from '../../packs/book.js';
import type { Pack } from '../../packs/model.js';
import { pack, packId, packList } from '../schemas/packs.js';
import * as z from 'zod';

const yaml = 'application/yaml';

function rowView(pack: Pack) {
  const { id, version, title, authority, layer, jurisdiction, from, to, rules, limits, charts, notKnown } = pack;
  return {
    ...{ id, version, title, authority, layer, jurisdiction, from, to },
    rules: rules.map((rule) => rule.id),
    limits: limits.map((limit) => limit.id),
    charts: charts.map((chart) => chart.id),
    obligations: obligationsOf(pack),
    notKnown: notKnown.map(({ topic }) => topic),
  };
}

export const listPacks = operation({
  id: 'listPacks',
  method: 'get',
  path: '/v1/packs',
  tag: 'Packs',
  summary: 'The rule packs this server judges by',
  access: 'findings:read',
  answers: { 200: { description: 'All of them.', content: { 'application/json': { schema: packList } } } },
  problems: [],
  handle({ services }) {
    return Promise.resolve({ status: 200, body: { items: services.packs.list().map(rowView) } });
  },
});

export const getPack = operation({
  id: 'getPack',
  method: 'get',
  path: '/v1/packs/{id}',
  rest: 'id',
  tag: 'Packs',
  summary: 'One pack, as JSON or as the YAML it is written in',
  description: 'Send `Accept: application/yaml` for the text of the file, comments and all.',
  access: 'findings:read',
  params: packId,
  answers: {
    200: {
      description: 'The pack.',
      content: { 'application/json': { schema: pack }, [yaml]: { schema: z.string() } },
    },
  },
  problems: ['unknown-pack', 'not-acceptable'],
  handle({ params: { id }, raw, services }) {
    const found = services.packs.one(id);
    if (found === undefined) {
      const near = nearest(
        id,
        services.packs.list().map((each) => each.id),
      );
      throw new Problem(
        'unknown-pack',
        near === undefined ? `There is no pack ${id}.` : `There is no pack ${id}; did you mean ${near}?`,
        {
          also: near === undefined ? {} : { nearest: near },
        },
      );
    }
    const form = raw.accepts(['application/json', yaml]);
    if (form === undefined)
      throw new Problem('not-acceptable', undefined, { also: { available: ['application/json', yaml] } });
    const headers = { Vary: 'Accept' };
    if (form === yaml)
      return Promise.resolve({ status: 200, type: `${yaml}; charset=utf-8`, body: found.text, headers });
    return Promise.resolve({ status: 200, body: found.pack, headers });
  },
});
