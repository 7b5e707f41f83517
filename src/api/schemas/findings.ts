import * as z from 'zod';
import { findingStates } from '../../engine/finding.js';
import { caution, citation, eventRef, next, severity, verdict, when } from './common.js';

const state = z.enum(findingStates).meta({
  id: 'FindingState',
  description:
    'open; acknowledged; cleared by a later event; resolved by a person; lapsed with its rule; withdrawn when a replay no longer supports it.',
});

const staffCode = z.string().meta({
  description: 'Staff code of who did it, or `key:` and the id of the key that was used.',
  example: 'op-3',
});

const shape = {
  id: z.string().meta({ description: 'The same in every process and every replay.' }),
  site: z.string().meta({ description: 'The office.' }),
  rule: z.string().meta({ description: 'The rule, by its full id.', example: 'common/chemistry-age/chemistry-age' }),
  pack: z.string().meta({ description: 'The pack of the rule.' }),
  packVersion: z.string().meta({ description: 'Its version then.' }),
  kind: z
    .enum(['check', 'duty'])
    .meta({ description: 'check: something that was done or read; duty: something that was not done in time.' }),
  title: z.string().meta({ description: 'What the rule asks.' }),
  topic: z.string().meta({ description: 'What it is about: kind and id.', example: 'line:M1' }),
  line: z.string().optional().meta({ description: 'The processing line.' }),
  tube: z.string().optional().meta({ description: 'The x-ray unit.' }),
  severity,
  state,
  openedAt: when.meta({ description: 'When it began, UTC.' }),
  touchedAt: when.meta({ description: 'The latest instant at which an event, or time, said something of it.' }),
  dueAt: when.optional().meta({ description: 'For a duty: the instant that its absence is dated at.' }),
  announceAt: when.optional().meta({ description: 'Absence is put on the board only from here on.' }),
  closedAt: when.optional().meta({ description: 'When it ended, UTC.' }),
  closedBy: z
    .union([eventRef, z.object({ reason: z.string() })])
    .optional()
    .meta({ description: 'The event that ended it, or why it ended.' }),
  easedAt: when.optional().meta({ description: 'For what never clears: when the rule was next met there.' }),
  message: z.string().meta({ description: 'What it is, with its numbers; temperatures in F, times as m:ss.' }),
  advise: z.string().optional().meta({ description: 'What to do now.' }),
  retest: z.string().optional().meta({ description: 'The next test.' }),
  facts: z.record(z.string(), z.unknown()).meta({ description: 'As read at the latest firing, in canonical units.' }),
  chain: z.array(verdict).meta({ description: 'Every limit, layer by layer: broken, met or unknown.' }),
  anchor: eventRef.nullable().meta({ description: 'The event it hangs on; null for a duty that was never done.' }),
  evidence: z.array(eventRef).meta({ description: 'Events that speak for it.' }),
  occurrences: z.number().int().meta({ description: 'How often it fired.' }),
  films: z.number().int().meta({ description: 'Films it speaks of; for a duty, films developed meanwhile.' }),
  said: z.array(z.object({ at: when, message: z.string() })).meta({ description: 'What was said at each change.' }),
  hold: z.enum(['line', 'tube']).optional().meta({ description: 'Patient films wait until a passed re-test.' }),
  doubt: z
    .object({ instrument: z.string(), at: when })
    .optional()
    .meta({ description: 'An instrument that it rests on failed its next check.' }),
  snoozedUntil: when.optional().meta({ description: 'Off the board until then, UTC.' }),
  snoozeReason: z.string().optional().meta({ description: 'Why it is off the board.' }),
  snoozedBy: staffCode.optional(),
  entire: z
    .string()
    .optional()
    .meta({ description: 'What it said of all baths, while `message` speaks of the one that is left.' }),
  acknowledgedBy: staffCode.optional(),
  acknowledgeReason: z.string().optional().meta({ description: 'What the person who took it on said.' }),
  rootCause: z.string().optional().meta({ description: 'Why it happened, as a person found.' }),
  rootCauseBy: staffCode.optional(),
  repeats: z.number().int().optional().meta({ description: 'Exposures that were made again for its films.' }),
  taught: z
    .object({ cause: z.string(), at: when })
    .optional()
    .meta({ description: 'The confirmed cause that it counts for.' }),
  action: z.string().optional().meta({ description: 'What was done, as the person who resolved it says.' }),
  citation,
  revision: z.number().int().meta({ description: 'Grows with each change.' }),
};

export const finding = z
  .object({ ...shape, caution: caution.optional() })
  .meta({ id: 'Finding', description: 'A finding in a list; `caution` is what its own rule adds.' });
export const findingPage = z.object({ caution, items: z.array(finding), next }).meta({ id: 'FindingPage' });

const changeKind = z
  .enum(['opened', 'changed', 'closed', 'withdrawn', 'reinstated'])
  .meta({ description: 'What happened to it.' });
const changeCause = z.enum(['live', 'late', 'replay', 'sweep']).meta({
  description: 'An event in its order, a late one or a retraction, other packs, or time alone.',
});
const written = when.meta({ description: 'When the server wrote it.' });
const chainHash = z.string().meta({ description: 'Chains the row of the audit trail to the one before.' });

export const fullFinding = z
  .object({
    caution,
    ...shape,
    trace: z
      .unknown()
      .optional()
      .meta({ description: 'How the condition came out, branch by branch: json-rules-engine’s result tree.' }),
    evaluatorsAgree: z.boolean().optional().meta({ description: 'Whether both evaluators saw the condition alike.' }),
    history: z
      .array(
        z.object({
          revision: z.number().int(),
          change: changeKind,
          cause: changeCause,
          at: written,
          severity,
          state,
          message: z.string(),
          did: z
            .array(
              z.object({
                what: z.enum(['acknowledged', 'snoozed', 'resolved', 'causeConfirmed']),
                by: staffCode.optional(),
                until: when.optional(),
                reason: z.string().optional(),
                rootCause: z.string().optional(),
                action: z.string().optional(),
              }),
            )
            .optional()
            .meta({ description: 'What people did since the change before.' }),
          hash: chainHash,
        }),
      )
      .meta({ description: 'Every change of it, oldest first.' }),
  })
  .meta({ id: 'FullFinding' });

export const change = z
  .object({
    site: z.string(),
    seq: z.number().int().meta({ description: 'Place in the audit trail of the site.' }),
    revision: z.number().int(),
    change: changeKind,
    cause: changeCause,
    at: written,
    hash: chainHash,
    finding,
  })
  .meta({ id: 'FindingChange' });
export const changePage = z
  .object({
    caution,
    items: z.array(change),
    next: z.string().optional().meta({ description: 'Ask again with it: now, if `more`, else later.' }),
    more: z.boolean(),
  })
  .meta({ id: 'FindingChangePage' });
