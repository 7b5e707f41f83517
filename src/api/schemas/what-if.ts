import * as z from 'zod';
import { findingStates } from '../../engine/finding.js';
import { differences } from '../../trials/what-if/index.js';
import { idText, instant } from '../query.js';
import { caution, eventRef, severity, verdict, when } from './common.js';
import { diagnostic, failedTest } from './diagnostics.js';

/** Packs of one request. */
const mostPacks = 20;

const texts = z
  .array(z.string().min(1))
  .min(1)
  .max(mostPacks)
  .meta({ description: 'Texts of packs, YAML or JSON; docs/packs.md teaches the language.' });

export const packCheckBody = z.object({ packs: texts }).strict().meta({ id: 'PackCheck' });

export const packCheckAnswer = z
  .object({
    sound: z.boolean().meta({ description: 'No error, and every test passed.' }),
    packs: z.array(
      z.object({
        file: z.string().meta({ description: 'What the text is called in the sentences.', example: 'packs/0' }),
        id: z.string().optional().meta({ description: 'Absent where the text has an error.' }),
        version: z.string().optional().meta({ description: 'Of the text.' }),
      }),
    ),
    diagnostics: z.array(diagnostic).meta({ description: 'Every fault, errors and warnings.' }),
    tests: z.object({
      run: z.number().int().meta({ description: 'Tests of the packs that were run: of packs without an error.' }),
      left: z.number().int().meta({ description: 'Tests that there was no time for.' }),
      failed: z.array(failedTest),
    }),
  })
  .meta({ id: 'PackChecked' });

export const whatIfBody = z
  .object({
    packs: texts,
    sites: z
      .array(idText)
      .min(1)
      .max(1000)
      .optional()
      .meta({ description: 'Only these; left out: all that the key may see.' }),
    from: instant.optional().meta({
      description: 'From when on the packs stand; left out: as though they always had.',
      override: { type: 'string', format: 'date-time' },
    }),
    to: instant.optional().meta({
      description: 'Up to when events count; left out: until now.',
      override: { type: 'string', format: 'date-time' },
    }),
  })
  .strict()
  .meta({ id: 'WhatIf' });

const rule = z.string().meta({ description: 'Full id of the rule.', example: 'common/wedge/steps' });
const site = z.string().meta({ description: 'The office.' });
const side = {
  severity,
  state: z.enum(findingStates).meta({ description: 'How it stands at the end.' }),
  opened: when.meta({ description: 'When it began.' }),
  closed: when.optional().meta({ description: 'When it ended.' }),
  message: z.string().meta({ description: 'What it says, with its numbers.' }),
  chain: z.array(verdict).meta({ description: 'Every limit, layer by layer.' }),
  evidence: z.array(eventRef).meta({ description: 'The events behind it.' }),
};
const head = {
  site,
  id: z.string().meta({ description: 'The id it has or would have.' }),
  rule,
  title: z.string().meta({ description: 'What the rule asks.' }),
  topic: z.string().meta({ description: 'What it is about: kind and id.' }),
  line: z.string().optional().meta({ description: 'The processing line.' }),
  tube: z.string().optional().meta({ description: 'The x-ray unit.' }),
};
const listed = z.object({ ...head, ...side }).meta({ id: 'TriedFinding' });
const differs = z.enum(differences).meta({ id: 'Difference', description: 'In what a finding differs.' });
const counts = {
  added: z.number().int().meta({ description: 'Findings that only the packs on trial give.' }),
  removed: z.number().int().meta({ description: 'Findings that they no longer give.' }),
  changed: z.number().int().meta({ description: 'Findings that they give otherwise.' }),
};
const rates = {
  before: z.number().meta({ description: 'With the packs as they are.' }),
  after: z.number().meta({ description: 'With the packs on trial.' }),
};

export const whatIfAnswer = z
  .object({
    caution,
    from: when.optional().meta({ description: 'From when on the packs stood; absent: always.' }),
    to: when.meta({ description: 'Up to when events counted.' }),
    events: z.number().int().meta({ description: 'Events that were folded.' }),
    sites: z.number().int().meta({ description: 'Sites that were tried.' }),
    counts: z.object(counts).meta({ description: 'Of all, also of what is not listed.' }),
    added: z.array(listed).meta({ description: 'The first 100, at most 50 of one rule.' }),
    removed: z.array(listed).meta({ description: 'The first 100, at most 50 of one rule.' }),
    changed: z
      .array(
        z
          .object({ ...head, differs: z.array(differs), before: z.object(side), after: z.object(side) })
          .meta({ id: 'ChangedFinding' }),
      )
      .meta({ description: 'The first 100, at most 50 of one rule.' }),
    byRule: z
      .array(
        z.object({
          ...{ rule, ...counts },
          differs: z
            .partialRecord(differs, z.number().int())
            .meta({ description: 'Changed findings, by what differs.' }),
        }),
      )
      .meta({ description: 'Rules with a difference, most first.' }),
    bySite: z
      .array(z.object({ site, events: z.number().int().meta({ description: 'Folded.' }), ...counts }))
      .meta({ description: 'Sites with a difference, most first; 200 at most.' }),
    unprovable: z
      .array(
        z.object({
          rule,
          why: z.enum(['noEvent', 'notEvaluable', 'neverDone']).meta({
            description:
              'noEvent: nothing the rule listens to was ever recorded. notEvaluable: its facts were missing whenever it was asked. neverDone: nothing that would meet the duty was ever recorded, so what it finds may be a lack of records.',
          }),
          sites: z.number().int().meta({ description: 'At how many sites.' }),
          asked: z.number().int().meta({ description: 'How often it was asked there.' }),
          missing: z.array(
            z.object({
              fact: z.string().meta({ description: 'Never recorded.' }),
              send: z.array(z.string()).meta({ description: 'Types of events that would supply it.' }),
            }),
          ),
          send: z.array(z.string()).meta({ description: 'Types of events that would show more.' }),
        }),
      )
      .meta({ description: 'Rules on trial of which the history of some site shows nothing.' }),
    attention: z
      .object({
        offices: z.number().int().meta({ description: 'Sites with events.' }),
        weeks: z
          .number()
          .meta({ description: 'Weeks with anything recorded since the packs stand, at the office with the most.' }),
        cardsPerWeek: z
          .object(rates)
          .meta({ description: 'New cards of the rules on trial, a week and an office; holds apart.' }),
        holdsPerWeek: z
          .object(rates)
          .meta({ description: 'The same of holds: as often do patient films wait for a re-test.' }),
        busiest: z
          .object({ site, ...rates })
          .optional()
          .meta({ description: 'Where most come, a week.' }),
        overBudget: z
          .boolean()
          .meta({ description: 'At some office more than three new cards a week, and more than before.' }),
      })
      .meta({ description: 'What the change asks of people.' }),
    failed: z
      .array(z.object({ site, reason: z.string().meta({ description: 'As a sentence.' }) }))
      .meta({ description: 'Sites that could not be tried.' }),
    warnings: z.array(diagnostic).meta({ description: 'What the reader says of the packs that is no error.' }),
    trial: z.string().nullable().meta({
      description:
        'Proof that this trial was seen, for publishing these packs. Null for a trial of some sites only, of less than four weeks, or that ends before now.',
    }),
  })
  .meta({ id: 'WhatIfAnswer' });
