import * as z from 'zod';
import { isWithin, type Key } from '../keys.js';
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
  description:
    'The key of STEPWEDGE_ADMIN_KEY is not among them: it is in force while the variable is set. A bound key sees ' +
    'those that reach no farther than itself.',
  access: 'admin',
  answers: { 200: { description: 'All of them.', content: { 'application/json': { schema: keyList } } } },
  problems: [],
  async handle({ key: own, services }) {
    const keys = await services.keys.list(own.organisation);
    return { status: 200, body: { items: keys.filter((key) => isWithin(key, own)).map(view) } };
  },
});

export const createKey = operation({
  id: 'createKey',
  method: 'post',
  path: '/v1/keys',
  tag: 'Keys',
  summary: 'Make a key',
  description: 'A bound key makes only keys that reach no farther than itself.',
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
    refuseBeyond(own, '/sites', sites, own.sites);
    refuseBeyond(own, '/sources', sources, own.sources);
    const { secret, ...made } = await services.keys.create(own.organisation, own.id, asked);
    return { status: 201, body: { ...view(made), secret } };
  },
});

/** @throws Problem `forbidden`. */
function refuseBeyond(
  own: Key,
  pointer: string,
  asked: readonly string[] | null,
  bound: readonly string[] | null,
): void {
  if (bound === null) return;
  const allowed = bound.slice(0, 20);
  const forbidden = (at: string, message: string) => ({ pointer: at, code: 'forbidden', message, allowed });
  const errors =
    asked === null
      ? [forbidden(pointer, 'must be given: a bound key makes no key that reaches farther than itself')]
      : asked.flatMap((one, at) =>
          bound.includes(one) ? [] : [forbidden(`${pointer}/${at}`, 'is beyond the bounds of the key that asks')],
        );
  if (errors.length === 0) return;
  throw new Problem('forbidden', `The key “${own.name}” is bound itself.`, { errors: errors.slice(0, 20) });
}

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
    const key = (await services.keys.list(own.organisation)).find((one) => one.id === id);
    // Beyond its own bounds a key does not even learn what there is.
    const may = key !== undefined && isWithin(key, own);
    if (!may || !(await services.keys.revoke(own.organisation, own.id, id))) {
      throw new Problem('unknown-key', `There is no key ${id}, or it was revoked before.`);
    }
    return { status: 204 };
  },
});
