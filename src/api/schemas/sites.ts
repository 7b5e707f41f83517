import * as z from 'zod';
import { siteConfigured } from '../../events/site-events.js';
import { id, instant } from '../../events/parts.js';
import { severities } from '../../packs/model.js';
import { caution, eventRef, next, severity, verdict, when } from './common.js';
import { limit } from './limits.js';

const { name, zone, jurisdictions, lines, tubes, workingDays, by, note } = siteConfigured.shape;

export const siteExample = {
  name: 'Brackenfold',
  timeZone: 'America/Los_Angeles',
  jurisdictions: ['us', 'us-wa'],
  lines: [
    { id: 'M1', method: 'manual', chemistry: 'standard' },
    { id: 'A1', method: 'automatic' },
    { id: 'C1', method: 'chairside', chemistry: 'rapid' },
  ],
  tubes: [
    { id: 'R1', kind: 'wall' },
    { id: 'R2', kind: 'panoramic' },
  ],
  workingDays: [1, 2, 3, 4],
};

/** What PUT takes: a site.configured event in the API's words. */
export const siteBody = z
  .strictObject({
    name,
    timeZone: zone.meta({
      ...zone.meta(),
      description:
        'IANA time zone; the field `zone` of the event `site.configured`. A change takes effect at the next site-day.',
    }),
    jurisdictions,
    lines,
    tubes,
    workingDays,
    validFrom: instant('In force from this instant; now, if left out. Not in the future.').optional(),
    by,
    note,
  })
  .meta({ id: 'SiteBody', example: siteExample });

const quantity = z
  .object({ value: z.number(), unit: z.string().meta({ description: 'UCUM.' }) })
  .meta({ id: 'Quantity', example: { value: 70, unit: 'kV' } });

const config = {
  name: z.string(),
  timeZone: z.string().meta({ description: 'IANA zone.', example: 'America/Los_Angeles' }),
  jurisdictions: z.array(z.string()),
  lines: z.array(
    z.object({
      id: z.string(),
      name: z.string().optional(),
      method: z.enum(['manual', 'automatic', 'chairside']),
      chemistry: z.enum(['standard', 'rapid']).optional(),
      product: z.string().optional(),
      volume: quantity.optional(),
      safelight: z
        .object({ filter: z.string().optional(), power: quantity.optional(), distance: quantity.optional() })
        .optional(),
      ended: z.boolean().optional(),
    }),
  ),
  tubes: z.array(
    z.object({
      id: z.string(),
      name: z.string().optional(),
      kind: z.enum(['wall', 'mobile', 'handHeld', 'panoramic']).optional(),
      tubeVoltage: quantity.optional(),
      tubeCurrent: quantity.optional(),
      coneLength: quantity.optional(),
      collimation: z.enum(['round', 'rectangular']).optional(),
      ended: z.boolean().optional(),
    }),
  ),
  workingDays: z.array(z.number().int()).meta({ description: 'ISO weekdays, 1 is Monday.' }),
};

const warnings = z
  .array(
    z
      .object({
        jurisdiction: z.string().meta({ example: 'us-ca' }),
        nearest: z.string().optional().meta({ description: 'The known name that was probably meant.' }),
        text: z.string().meta({
          example: 'No pack in force here speaks of us-ca: nothing of its law is checked.',
        }),
      })
      .meta({ id: 'JurisdictionWarning' }),
  )
  .meta({ description: 'Whose law is not checked, because no pack in force speaks of it. Empty when all is.' });

const row = {
  id: z.string(),
  events: z.number().int().meta({ description: 'Events in its ledger.' }),
  lastEventAt: when.optional(),
  unjudged: z.string().optional().meta({ description: 'Why its latest events are not judged; absent when they are.' }),
};
export const sitePage = z.object({ items: z.array(z.object(row)), next }).meta({ id: 'SitePage' });

export const site = z
  .object({
    ...row,
    ...config,
    warnings,
    next: z.object(config).optional().meta({ description: 'A configuration that waits for the next site-day.' }),
  })
  .meta({ id: 'Site' });

const due = z
  .object({
    rule: z.string(),
    title: z.string(),
    text: z.string().meta({
      description: 'What to do by when, in the words of the list.',
      example: 'Change M1 chemistry by Fri 6 Mar (last working day before Sun 8 Mar).',
    }),
    line: z.string().optional(),
    tube: z.string().optional(),
    baths: z.array(z.string()).optional(),
    due: when.meta({ description: 'First instant at which it is overdue.' }),
    lastWorkingDay: z.string().nullable().meta({ description: 'Local date.', example: '2026-03-06' }),
    listed: z.boolean().meta({ description: 'Within its reminder: on the list of the board.' }),
    overdue: z.boolean().meta({ description: 'Whether it is past due at the instant asked about.' }),
    severity,
    count: z.number().int().optional().meta({ description: 'Films or follow-ups owed.' }),
    obligation: z
      .string()
      .optional()
      .meta({ description: 'What an `obligation.done` names to say that it was done.', example: 'us-wa-on-hand' }),
    chain: z.array(verdict),
  })
  .meta({ id: 'DueItem' });
export const dueAnswer = z.object({ site: z.string(), at: when, caution, items: z.array(due) }).meta({ id: 'DueList' });

const condition = z.enum(['clear', 'check', 'hold']).meta({ id: 'Condition' });
const station = z
  .object({
    id: z.string().meta({ description: 'The line or unit.' }),
    name: z.string().optional().meta({ description: 'What people call it.' }),
    state: condition,
    outOfUse: z.boolean().meta({ description: 'Taken out of use by an `equipment.status` event.' }),
  })
  .meta({ id: 'Station' });
const card = z
  .object({
    state: condition,
    what: z.string().meta({ description: 'What it is, with its numbers.' }),
    doNow: z.string().optional().meta({ description: 'What to do now.' }),
    nextTest: z.string().optional().meta({ description: 'The next test.' }),
    caution: z.string().optional().meta({ description: 'What the rule itself adds.' }),
    line: z.string().optional(),
    tube: z.string().optional(),
    rule: z.string(),
    severity: z.enum(severities),
    since: when,
    findings: z.array(z.string()).meta({ description: 'Ids of the findings on the card, the gravest first.' }),
    count: z.number().int().meta({ description: 'How many they are.' }),
  })
  .meta({ id: 'Card', description: 'Four lines: the state, what it is, what to do now, the next test.' });
const standing = card.omit({ state: true, doNow: true, nextTest: true, caution: true }).meta({
  id: 'Standing',
  description: 'Law or standard, over since a later run in range, and not resolved by anybody.',
});
const weekly = z
  .object({
    kind: z
      .enum(['advice', 'notEvaluable'])
      .meta({ description: 'Advice, or rules that could not be judged for want of a fact.' }),
    rules: z.array(z.string()).meta({ description: 'Several where they lack the same fact.' }),
    line: z.string().optional(),
    text: z.string(),
    since: when,
    finding: z.string().optional(),
    missing: z
      .array(z.string())
      .optional()
      .meta({ description: 'Facts that are not on record.', example: ['run.developer.time'] }),
    send: z
      .array(z.string())
      .optional()
      .meta({ description: 'Types of events that would supply them.', example: ['film.processed'] }),
  })
  .meta({ id: 'WeeklyItem' });
const orphan = z
  .object({
    event: eventRef,
    finding: z.string().optional(),
    rule: z.string().optional(),
    topic: z.string().optional(),
    instant: when.optional(),
  })
  .meta({
    id: 'Orphan',
    description:
      'What somebody did about a finding that is not there (any more): a replay gave no finding that covers it. The words are in the event.',
  });
export const boardAnswer = z
  .object({
    site: z.string(),
    at: when,
    caution,
    state: condition,
    lines: z.array(station),
    tubes: z.array(station),
    cards: z.array(card).max(3),
    more: z.number().int().meta({ description: 'Cards that did not fit.' }),
    standing: z.array(standing).meta({ description: 'No cards, and not gone: each waits for a cause and an action.' }),
    due: z.array(due),
    weekly: z.array(weekly),
    orphans: z.array(orphan).meta({ description: 'The latest 50, latest first.' }),
    warnings,
  })
  .meta({ id: 'Board' });

export const limitsAnswer = z
  .object({ site: z.string(), at: when, caution, items: z.array(limit), warnings })
  .meta({ id: 'EffectiveLimits' });

export const siteId = z.object({ id: id('The site.', 'brackenfold') });
