import * as z from 'zod';
import { operation } from '../operation.js';
import { Problem } from '../problems.js';
import { idText } from '../query.js';
import { keyBody, keyExample, keyList, newKey } from '../schemas/keys.js';
import type { KeyView } from '../services.js';
import { rfc3339 } from '../time.js';

const view = ({ id, name, scopes, sites, sources, createdAt, revokedAt }: KeyView) => ({
  ...{ id, name, scopes, sites, sources },
  createdAt: rfc3339(createdAt),
  revokedAt: revokedAt === null ? null : rfc3339(revokedAt),
});

export const listKeys = operation({
  id: 'listKeys',
  method: 'get',
  path: '/v1/keys',
  tag: 'Keys',
  summary: 'The keys, without their secrets',
  description: 'The key of STEPWEDGE_ADMIN_KEY is not among them: it is in force while the variable is set.',
  access: 'admin',
  answers: { 200: { description: 'All of them.', content: { 'application/json': { schema: keyList } } } },
  problems: [],
  async handle({ key: own, services }) {
    return { status: 200, body: { items: (await services.keys.list(own.organisation)).map(view) } };
  },
});

export const createKey = operation({
  id: 'createKey',
  method: 'post',
  path: '/v1/keys',
  tag: 'Keys',
  summary: 'Make a key',
  access: 'admin',
  body: {
    kind: 'json',
    required: true,
    schema: keyBody,
    example: keyExample,
  },
  answers: {
    201: { description: 'The key, with its secret this once.', content: { 'application/json': { schema: newKey } } },
  },
  problems: ['invalid-json', 'invalid-body', 'unsupported-media-type'],
  async handle({ key: own, body, services }) {
    const { name, scopes, sites = null, sources = null } = body;
    const asked = { name, scopes: [...new Set(scopes)], sites, sources };
    const { secret, ...made } = await services.keys.create(own.organisation, own.id, asked);
    return { status: 201, body: { ...view(made), secret } };
  },
});

export const revokeKey = operation({
  id: 'revokeKey',
  method: 'delete',
  path: '/v1/keys/{id}',
  tag: 'Keys',
  summary: 'Revoke a key',
  description: 'At once in the process that is asked, within ten seconds in others.',
  access: 'admin',
  params: z.object({ id: idText.meta({ description: 'The key, by its id (never its secret).' }) }),
  answers: { 204: { description: 'It is revoked.' } },
  problems: ['unknown-key'],
  async handle({ key: own, params: { id }, services }) {
    if (!(await services.keys.revoke(own.organisation, own.id, id))) {
      throw new Problem('unknown-key', `There is no key ${id}, or it was revoked before.`);
    }
    return { status: 204 };
  },
});
