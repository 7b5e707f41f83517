import type { Edition } from '../../packs/book.js';
import { obligationsOf } from '../../packs/book.js';
import { nearest } from '../../events/nearest.js';
import { operation } from '../operation.js';
import { Problem } from '../problems.js';
import { asOf } from '../query.js';
import { pack, packId, packList, packVersions, versionText } from '../schemas/packs.js';
import type { PackVersion, Present, Services } from '../services.js';
import { rfc3339, rfc3339Maybe } from '../time.js';
import * as z from 'zod';

export const yaml = 'application/yaml';

/** When a text stands; an end that is not known yet and a beginning before all time are left out. */
function stretch({ from, to }: Edition) {
  return {
    standsFrom: from === -Infinity ? undefined : rfc3339(from),
    standsTo: to === Infinity ? undefined : rfc3339(to),
  };
}

function rowView(edition: Edition, shipped: Present['shipped']) {
  const { id, version, title, authority, layer, jurisdiction, from, to, rules, limits, charts, notKnown } =
    edition.pack;
  return {
    ...{ id, version, title, authority, layer, jurisdiction, from, to },
    ...stretch(edition),
    inPlaceOf: edition.from === -Infinity ? undefined : shipped.get(id),
    rules: rules.map((rule) => rule.id),
    limits: limits.map((limit) => limit.id),
    deprecated: [...rules, ...limits].filter((each) => each.deprecated !== undefined).map(({ id }) => id),
    charts: charts.map((chart) => chart.id),
    obligations: obligationsOf(edition.pack),
    notKnown: notKnown.map(({ topic }) => topic),
  };
}

export const listPacks = operation({
  id: 'listPacks',
  method: 'get',
  path: '/v1/packs',
  tag: 'Packs',
  summary: 'The rule packs that your sites may be judged by',
  description:
    'The shipped ones and those that your organisation published, each text over the time in which it stands: what ' +
    'stands now, and what is still to come.',
  access: 'findings:read',
  query: z.object({ at: asOf }),
  answers: { 200: { description: 'All of them.', content: { 'application/json': { schema: packList } } } },
  problems: ['invalid-query'],
  async handle({ key, query: { at }, services }) {
    const { editions, shipped } = await services.packs.present(key.organisation);
    const from = at ?? services.now();
    return { status: 200, body: { items: editions.filter(({ to }) => to > from).map((one) => rowView(one, shipped)) } };
  },
});

export const getPack = operation({
  id: 'getPack',
  method: 'get',
  path: '/v1/packs/{id}',
  rest: 'id',
  tag: 'Packs',
  summary: 'One pack, as JSON or as the YAML it is written in',
  description:
    'The newest text, also where it is still to come; `version` or `at` ask for another, and old ones stay for good. ' +
    'Send `Accept: application/yaml` for the text as it was written, comments and all. `ETag` is that of the newest ' +
    'text, whichever is answered: send it back as `If-Match` to put a newer one in its place.',
  access: 'findings:read',
  params: packId,
  query: z.object({ version: versionText, at: asOf }),
  answers: {
    200: {
      description: 'The pack.',
      content: { 'application/json': { schema: pack }, [yaml]: { schema: z.string() } },
    },
  },
  problems: ['invalid-query', 'unknown-pack', 'not-acceptable'],
  async handle({ key, params: { id }, query, raw, services }) {
    const versions = await versionsOf(services, key.organisation, id);
    const version = query.version ?? (query.at === undefined ? undefined : standingAt(versions, query.at))?.version;
    const wanted = query.version === undefined && query.at === undefined ? versions.at(-1)?.version : version;
    const found = wanted === undefined ? undefined : await services.packs.text(key.organisation, id, wanted);
    if (found === undefined) throw unknownVersion(id, query, versions);
    const form = raw.accepts(['application/json', yaml]);
    if (form === undefined)
      throw new Problem('not-acceptable', undefined, { also: { available: ['application/json', yaml] } });
    const headers = { Vary: 'Accept', ETag: entityTag(versions.at(-1)) };
    if (form === yaml) return { status: 200, type: `${yaml}; charset=utf-8`, body: found.text, headers };
    if (found.pack === undefined)
      throw new Problem('not-acceptable', `This release cannot read version ${found.version} any more; ask for YAML.`, {
        also: { available: [yaml] },
      });
    return { status: 200, body: { ...versionView(found), ...found.pack, id, version: found.version }, headers };
  },
});

export const listPackVersions = operation({
  id: 'listPackVersions',
  method: 'get',
  path: '/v1/pack-versions/{id}',
  rest: 'id',
  tag: 'Packs',
  summary: 'Every text of a pack, and when it stands or stood',
  description: 'The shipped one first, then as they were published. None is ever changed or removed.',
  access: 'findings:read',
  params: packId,
  answers: { 200: { description: 'All of them.', content: { 'application/json': { schema: packVersions } } } },
  problems: ['unknown-pack'],
  async handle({ key, params: { id }, services }) {
    const versions = await versionsOf(services, key.organisation, id);
    const items = versions.map((each) => ({
      ...{ id, version: each.version },
      ...versionView(each),
      ...(each.stands === undefined
        ? { replaced: true }
        : { ...stretch(each.stands), from: each.stands.pack.from, to: each.stands.pack.to }),
    }));
    return { status: 200, body: { items } };
  },
});

/** Quoted, as RFC 9110 writes one; of a text and not of its JSON, which says less. */
export function entityTag(version: PackVersion | undefined): string {
  return `"${version?.hash.slice(0, 32) ?? 'none'}"`;
}

export function versionView({ hash, publication }: PackVersion) {
  return {
    hash,
    effective: rfc3339Maybe(publication?.effective),
    publishedAt: rfc3339Maybe(publication?.published_at),
    publishedBy: publication?.published_by,
  };
}

async function versionsOf(services: Services, organisation: string, id: string): Promise<readonly PackVersion[]> {
  const versions = await services.packs.versions(organisation, id);
  if (versions.length === 0) throw unknownPack(id, await services.packs.present(organisation));
  return versions;
}

function standingAt(versions: readonly PackVersion[], at: number): PackVersion | undefined {
  return versions.find(({ stands }) => stands !== undefined && stands.from <= at && at < stands.to);
}

function unknownPack(id: string, { editions }: Present): Problem {
  const near = nearest(
    id,
    editions.map(({ pack }) => pack.id),
  );
  const detail = near === undefined ? `There is no pack ${id}.` : `There is no pack ${id}; did you mean ${near}?`;
  return new Problem('unknown-pack', detail, { also: near === undefined ? {} : { nearest: near } });
}

function unknownVersion(
  id: string,
  { version, at }: { version?: string | undefined; at?: number | undefined },
  versions: readonly PackVersion[],
): Problem {
  const known = versions.map((each) => each.version);
  const detail =
    version === undefined && at !== undefined
      ? `No text of the pack ${id} stood at ${rfc3339(at)}.`
      : `The pack ${id} has no version ${version}; there are ${known.slice(-20).join(', ')}.`;
  return new Problem('unknown-pack', detail, { also: { versions: known.slice(-100) } });
}
