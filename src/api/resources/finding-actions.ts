import { randomUUID } from 'node:crypto';
import * as z from 'zod';
import type { EventType } from '../../events/catalogue.js';
import { findingAcknowledged, findingResolved, findingSnoozed } from '../../events/people.js';
import { requireOwnSender } from '../auth.js';
import { type Key, ownSource } from '../keys.js';
import { type Operation, operation } from '../operation.js';
import { Problem } from '../problems.js';
import { fullFinding } from '../schemas/findings.js';
import type { FindingRow, Services } from '../services.js';
import { rfc3339 } from '../time.js';
import { fullFindingView } from '../views/finding.js';
import { findingId, theFinding } from './findings.js';
import { eventProblem, take } from './intake.js';

/**
 * What people do about a finding is an event like any other (law L1), written through intake and addressed to the
 * finding and to what it stands for, so that a replay that gives it another id loses nobody's work (law L10).
 */
function action<B extends z.ZodType>(spec: {
  readonly verb: string;
  readonly type: EventType;
  readonly summary: string;
  readonly description: string;
  readonly required: boolean;
  readonly schema: B;
  readonly example: unknown;
}): Operation {
  return operation({
    id: `${spec.verb}Finding`,
    method: 'post',
    path: `/v1/findings/{id}/${spec.verb}`,
    tag: 'Findings',
    summary: spec.summary,
    description: spec.description,
    access: 'findings:write',
    params: findingId,
    body: { kind: 'json', required: spec.required, schema: spec.schema, example: spec.example },
    answers: {
      200: { description: 'The finding as it now is.', content: { 'application/json': { schema: fullFinding } } },
    },
    problems: [
      'unknown-finding',
      'conflict',
      'invalid-json',
      'invalid-body',
      'unsupported-media-type',
      'too-many-waiting',
    ],
    async handle({ key, params, body, services }) {
      const row = await theFinding(services, key, params.id);
      requireOwnSender(key);
      refuseClosed(row);
      await write(services, key, row, spec.type, body as Record<string, unknown>);
      return { status: 200, body: fullFindingView(await theFinding(services, key, params.id)) };
    },
  });
}

/** What the path says already. */
type Address = 'finding' | 'rule' | 'topic' | 'instant';

export const acknowledgeFinding = action({
  verb: 'acknowledge',
  type: 'finding.acknowledged',
  summary: 'Somebody has seen it',
  description: 'The body may be left out.',
  required: false,
  schema: z.strictObject(without(findingAcknowledged)),
  example: { by: 'op-3', reason: 'on it' },
});

export const snoozeFinding = action({
  verb: 'snooze',
  type: 'finding.snoozed',
  summary: 'Off the board for a while, with a reason',
  description: 'It stays in lists, reports and the record.',
  required: true,
  schema: z.strictObject(without(findingSnoozed)),
  example: { until: '2026-03-12', reason: 'part ordered', by: 'op-3' },
});

export const resolveFinding = action({
  verb: 'resolve',
  type: 'finding.resolved',
  summary: 'Why it happened, and what was done',
  description:
    'A hold is not lifted by it: only a passed re-test lifts a hold; root cause and action are kept with it all the same.',
  required: true,
  schema: z.strictObject(without(findingResolved)),
  example: { rootCause: 'heater unplugged', action: 'plugged in, label put on the switch', by: 'op-3' },
});

/** The fields of the event that the path does not say already. */
function without<S extends z.core.$ZodLooseShape>(schema: z.ZodObject<S>): Omit<S, Address> {
  const { finding, rule, topic, instant, ...rest } = schema.shape as S & Record<Address, unknown>;
  void [finding, rule, topic, instant];
  return rest;
}

function refuseClosed({ finding: { id, state } }: FindingRow): void {
  if (state === 'open' || state === 'acknowledged') return;
  throw new Problem('conflict', `The finding ${id} is ${state} already.`, { also: { state } });
}

async function write(
  services: Services,
  key: Key,
  { site, finding }: FindingRow,
  type: EventType,
  body: Record<string, unknown>,
): Promise<void> {
  const now = services.now();
  const event = {
    specversion: '1.0',
    id: randomUUID(),
    source: ownSource,
    type,
    // Before the finding opened there was nothing to act on: clocks of senders may be a little ahead of ours.
    time: rfc3339(Math.max(now, finding.openedAt)),
    site,
    data: {
      // Where nobody says who, the key does.
      by: `key:${key.id}`,
      ...body,
      finding: finding.id,
      rule: finding.rule,
      topic: finding.topic,
      instant: rfc3339(finding.openedAt),
    },
  };
  const reader = await services.events.reader(key.organisation);
  const { results } = await take(services, key.organisation, [reader(event, undefined)]);
  const faults = results[0]?.faults;
  // Kept, and without effect: the fold no longer works on it, because too many others are open.
  if (results[0]?.notice !== undefined) throw new Problem('conflict', results[0].notice);
  if (faults === undefined) return;
  const errors = faults.map((fault) => ({ ...fault, pointer: fault.pointer.replace(/^\/data(?=\/|$)/, '') }));
  const { code, detail } = eventProblem(errors, {});
  throw new Problem(code === 'invalid-event' ? 'invalid-body' : code, detail, { errors });
}
