import * as z from 'zod';
import { mostCardsAWeek } from '../../trials/what-if/index.js';
import { textHash } from '../../ledger/publish.js';
import { checkMediaType } from '../body.js';
import { hasScope, type Key } from '../keys.js';
import type { Pack } from '../../packs/model.js';
import { operation, type RawInput } from '../operation.js';
import { Problem } from '../problems.js';
import { instant } from '../query.js';
import { failedView } from '../schemas/diagnostics.js';
import { packId, publishedPack } from '../schemas/packs.js';
import type { DraftRead, PackVersion, PublishAnswer, Services } from '../services.js';
import { rfc3339 } from '../time.js';
import { entityTag, yaml } from './packs.js';
import { refuse } from './what-if.js';

const accepted = [yaml, 'text/yaml', 'application/json'];
/** Changes that an answer lists; it counts all. */
const mostListed = 200;

export const putPack = operation({
  id: 'putPack',
  method: 'put',
  path: '/v1/packs/{id}',
  rest: 'id',
  tag: 'Packs',
  summary: 'Publish a text of a pack',
  description:
    'Reads it, runs its tests, and stores it for good: as a new pack of yours, or as the newest version of one, the ' +
    'shipped ones included. It judges from now on, or from `effective`; with an earlier instant every site is judged ' +
    'anew from there, and the answer says what that changed. What was still to come stays on the calendar unless this ' +
    'is for the same instant. To take a pack out of force, publish it with a last day (`to`). Where there is a text of ' +
    'that id, `If-Match` with its `ETag` is required, so that two editors do not overwrite one another. The same text ' +
    'again changes nothing. With `trial`, the token of an answer of /v1/what-if, the budget of attention guards it: a ' +
    'pack that makes more new cards than people can look at is refused until it is confirmed. A server may require it.',
  access: 'packs:write',
  params: packId,
  query: z.object({
    effective: instant.optional().meta({ description: 'From when on it judges; from now, if left out.' }),
    trial: z
      .string()
      .regex(/^[\w-]{1,100}$/, 'must be `trial` of an answer of /v1/what-if')
      .optional()
      .meta({
        description: '`trial` of an answer of /v1/what-if to this text: somebody has seen what it would change.',
      }),
    confirm: z
      .literal('over-budget')
      .optional()
      .meta({ description: 'Publish it although its trial made more new cards than people can look at.' }),
  }),
  body: {
    kind: 'raw',
    accepts: accepted,
    content: Object.fromEntries(
      accepted.map((type) => [type, { schema: z.string().meta({ description: 'The pack; docs/packs.md.' }) }]),
    ),
  },
  answers: {
    200: {
      description: 'It is published, or was before.',
      content: { 'application/json': { schema: publishedPack } },
    },
    201: { description: 'The pack is new.', content: { 'application/json': { schema: publishedPack } } },
  },
  problems: [
    'invalid-query',
    'unsupported-media-type',
    'invalid-yaml',
    'conflict',
    'changed-meanwhile',
    'name-what-you-saw',
    'trial-first',
    'trial-outdated',
    'over-budget',
    'pack-faults',
    'pack-tests-failed',
    'body-too-large',
  ],
  async handle({ key, params: { id }, query: { effective, trial, confirm }, raw, services }) {
    requireEverySite(key);
    const text = textOf(raw);
    const versions = await services.packs.versions(key.organisation, id);
    const last = versions.at(-1);
    // Sent again after a lost answer: it is told what came of it, with whatever tag.
    const isAgain =
      last?.publication !== undefined &&
      last.hash === textHash(text) &&
      (effective === undefined || effective === last.publication.effective);
    const seen = isAgain ? undefined : seenBy(raw, id, versions);
    const { diagnosed, answer, version } = await services.packs
      .inTurn(key.organisation, async () => {
        const diagnosed = await services.packs.diagnose(key.organisation, text, id);
        const pack = soundPack(diagnosed, id);
        if (!isAgain) await guard(services, key, pack, effective, trial, confirm !== undefined);
        const draft = { pack, text, effective, by: key.id };
        const answer = await services.packs.publish(key.organisation, draft, seen);
        return { diagnosed, answer, version: pack.version };
      })
      .catch(refuse);
    if ('refused' in answer) throw refusal(id, version, answer);
    const { published, isNew, replay } = answer;
    const warnings = diagnosed.diagnostics;
    const waiting = (await services.packs.versions(key.organisation, id)).flatMap(({ version, stands }) => {
      const waits = stands !== undefined && version !== published.version && stands.from > published.effective;
      return waits ? [{ version, standsFrom: rfc3339(stands.from) }] : [];
    });
    return {
      status: versions.length === 0 && isNew ? 201 : 200,
      headers: { ETag: entityTag(published) },
      body: {
        id,
        version: published.version,
        hash: published.hash,
        effective: rfc3339(published.effective),
        publishedAt: rfc3339(published.published_at),
        publishedBy: published.published_by,
        isNew,
        warnings,
        stillToCome: waiting,
        replay: {
          sites: replay.sites,
          pending: replay.pending,
          changed: replay.changes.length,
          // What was found is for keys that may read it.
          changes: (hasScope(key, 'findings:read') ? replay.changes : [])
            .slice(0, mostListed)
            .map(({ kind, site, finding: { id, rule, severity, state, openedAt, message } }) => ({
              ...{ change: kind, site, finding: id, rule, severity, state, message },
              opened: rfc3339(openedAt),
            })),
        },
      },
    };
  },
});

/** A pack judges every site of its organisation. */
function requireEverySite(key: Key): void {
  if (key.sites === null) return;
  throw new Problem('forbidden', `The key “${key.name}” is for some sites only; a pack judges all of them.`);
}

function textOf({ headers, bytes }: RawInput): string {
  checkMediaType(headers['content-type'], accepted);
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw new Problem('invalid-yaml', 'The body is not valid UTF-8.');
  }
}

/** The hash of the newest text that the author has seen: null for none. @throws Problem when they saw another, or do not say. */
function seenBy({ headers }: RawInput, id: string, versions: readonly PackVersion[]): string | null | undefined {
  const last = versions.at(-1);
  const match = headers['if-match'];
  const none = headers['if-none-match'];
  if (last === undefined) {
    if (match !== undefined) throw changedMeanwhile(id, undefined);
    return null;
  }
  if (none?.trim() === '*') throw changedMeanwhile(id, last);
  if (match === undefined)
    throw new Problem('name-what-you-saw', `There is a pack ${id} already, version ${last.version}.`, {
      also: { version: last.version, etag: entityTag(last) },
      headers: { ETag: entityTag(last) },
    });
  const tags = match.split(',').map((tag) => tag.trim());
  if (!tags.includes(entityTag(last)) && !tags.includes('*')) throw changedMeanwhile(id, last);
  return last.publication === undefined ? null : last.hash;
}

function changedMeanwhile(id: string, last: Pick<PackVersion, 'version' | 'hash'> | undefined): Problem {
  if (last === undefined) return new Problem('changed-meanwhile', `There is no pack ${id} that could be replaced.`);
  return new Problem('changed-meanwhile', `The newest text of the pack ${id} is version ${last.version}.`, {
    also: { version: last.version, etag: entityTag(last) },
    headers: { ETag: entityTag(last) },
  });
}

/** The budget of attention as a guard. @throws Problem when a trial is asked for, is of something else, or was over it. */
async function guard(
  { trials }: Services,
  { organisation }: Key,
  pack: Pack,
  effective: number | undefined,
  token: string | undefined,
  confirmed: boolean,
): Promise<void> {
  if (token === undefined) {
    if (trials.required) throw new Problem('trial-first', `The pack ${pack.id} was not tried out.`);
    return;
  }
  const seen = await trials.seen(organisation, pack, effective, token);
  if (seen === undefined)
    throw new Problem(
      'trial-outdated',
      `No trial of this text of ${pack.id}, from ${effective === undefined ? 'now' : rfc3339(effective)} on or from earlier, has that token now.`,
    );
  if (seen.overBudget && !confirmed)
    throw new Problem(
      'over-budget',
      `The trial of version ${pack.version} of ${pack.id} made more than ${mostCardsAWeek} new cards a week at some office, and more than before; \`attention\` of its answer says where. Publish it with confirm=over-budget if that is meant.`,
    );
}

/** @throws Problem for a text with faults, of another pack, or with tests that fail or were not all run. */
function soundPack({ pack, diagnostics, tests }: DraftRead, id: string) {
  if (pack === undefined) {
    const errors = diagnostics.filter(({ severity }) => severity === 'error');
    const others = [...new Set(errors.map(({ file }) => file).filter((file) => file !== id))];
    const count = `${errors.length} ${errors.length === 1 ? 'error' : 'errors'}`;
    const whose = others.length === 0 ? 'The text has' : `With this text ${others.join(', ')} has`;
    const detail = `${whose} ${count}; nothing was stored.`;
    throw new Problem('pack-faults', detail, { also: { diagnostics } });
  }
  if (pack.id !== id)
    throw new Problem('pack-faults', `The text is of the pack ${pack.id}; the address says ${id}.`, {
      also: { diagnostics },
    });
  const { failed = [], left = 0 } = tests ?? {};
  if (failed.length + left > 0) {
    const late = left === 0 ? '' : ` ${left} were not run: all together may take ten seconds.`;
    const detail = `${failed.length} of its own tests failed.${late} Nothing was stored.`;
    throw new Problem('pack-tests-failed', detail, { also: { failed: failedView(failed) } });
  }
  return pack;
}

function refusal(id: string, version: string, answer: Extract<PublishAnswer, { refused: string }>): Problem {
  switch (answer.refused) {
    case 'changed':
      return changedMeanwhile(id, answer.last);
    case 'version':
      return new Problem(
        'conflict',
        `There is a version ${answer.last.version} of the pack ${id}; this one says ${version}. Another text, or the same one from another instant, needs a higher version.`,
        { also: { version: answer.last.version } },
      );
    case 'layer':
      return new Problem(
        'conflict',
        `The pack ${id} is of the layer ${answer.last.layer} and stays so. Say the rest in a pack of another id.`,
        { also: { layer: answer.last.layer } },
      );
    case 'jurisdiction':
      return new Problem(
        'conflict',
        `The pack ${id} is for ${answer.last.jurisdiction ?? 'everywhere'} and stays so. Say the rest in a pack of another id.`,
        { also: { jurisdiction: answer.last.jurisdiction ?? null } },
      );
    case 'full':
      return new Problem('conflict', 'Your organisation has published as many packs as it may: 5,000 texts.');
  }
}
