import * as z from 'zod';
import { kinships } from '../../engine/alike.js';
import { id } from '../../events/parts.js';
import { filmReviewed } from '../../events/review.js';
import { stages } from '../../packs/model.js';
import { mostSigns } from '../../radiography/defects/inference.js';
import { caution, citation, when } from './common.js';
import { place } from './consult.js';

const { signs, extent, film } = filmReviewed.shape;

export const causesExample = {
  signs: ['dark_image'],
  notSeen: ['fogged'],
  extent: 'run',
  clues: { temp_log_high: true },
};

const name = z
  .string()
  .regex(/^[A-Za-z0-9_]+$/)
  .max(60);

export const causesBody = z
  .strictObject({
    ...place,
    line: id('The line that developed it; needs site. Left out: that of the film on record.', 'M1').optional(),
    tube: id('The unit that exposed it; needs site.', 'R1').optional(),
    film: film.meta({ description: 'The film, where it is on record: its own exposure and run speak. Needs site.' }),
    signs: signs
      .min(1)
      .max(mostSigns)
      .meta({ ...signs.meta(), description: `What shows on it, ${mostSigns} signs at most.` }),
    notSeen: signs
      .optional()
      .meta({ description: 'Signs that were looked for and are not there.', example: ['fogged'] }),
    extent,
    clues: z
      .record(name, z.boolean())
      .optional()
      .meta({
        description: 'Answers to clues, by id; those open are in the answer.',
        example: { temp_log_high: true },
      }),
  })
  .meta({ id: 'CausesQuestion', example: causesExample });

const probability = z.number().min(0).max(1);

const evidence = z
  .object({
    clue: z.string().optional().meta({ description: 'The clue; absent for evidence that the cause itself names.' }),
    from: z.enum(['record', 'answer']),
    ratio: z.number().meta({ description: 'Of the odds: above 1 for the cause, below 1 against it.' }),
    text: z.string(),
  })
  .meta({ id: 'CauseEvidence' });

const ranked = z
  .object({
    cause: z.string().meta({ description: 'Its id.', example: 'dev_hot' }),
    title: z.string(),
    stage: z.enum(stages),
    prior: z.object({ published: probability, now: probability }).meta({
      description: 'Before anything is seen: as published, and with what was confirmed at the site and its group.',
    }),
    probability: probability.meta({
      description: 'That it is at work; two causes may be, so these need not sum to 1.',
    }),
    before: probability.meta({ description: 'The same by signs and shares alone.' }),
    likely: z.enum(['likely', 'possible', 'unlikely']).meta({ description: 'From 0.5, from 0.15, below.' }),
    evidence: z.array(evidence),
    do: z.string().meta({ description: 'What mends it.' }),
    salvage: z.string().optional().meta({ description: 'What can be done for the film that is there.' }),
    affects: z.enum(['film', 'run']).meta({ description: 'One film, or all of a bath, a box or a darkroom.' }),
    retake: z.object({ helps: z.boolean(), text: z.string() }),
    test: z.object({ say: z.string(), minutes: z.number() }).optional(),
    tables: z.array(z.string()).meta({ description: 'Published tables that list it under one of these signs.' }),
    citation,
  })
  .meta({ id: 'RankedCause' });

const count = z.int().min(0);

const alike = z
  .object({
    films: count.meta({ description: 'Films of the last seven days that show one of the signs, this one included.' }),
    others: count.meta({
      description: 'Films of those days that do not: looked at, or of a past day without complaint.',
    }),
    ...{ runs: count, units: count, people: count, lots: count, lines: count },
    ofRun: z.object({ with: count, without: count }).optional().meta({ description: 'Films of its own run.' }),
    shared: z.array(
      z.object({
        by: z.enum(kinships),
        value: z.string().optional().meta({ description: 'Which unit, lot or line; a person is never named.' }),
        ...{ count, total: count, otherCount: count, otherTotal: count },
        chance: probability.meta({ description: 'How often chance alone gives so many: exact test, one-sided.' }),
        interval: z
          .array(z.number())
          .length(2)
          .optional()
          .meta({ description: 'Of the difference of the two shares, 95 %.' }),
        isSurprising: z.boolean().meta({ description: 'Less often than once in a hundred.' }),
        hint: z.boolean().meta({ description: 'It follows a person: a hint, no finding.' }),
        inseparableFrom: z.array(z.enum(kinships)).meta({ description: 'What goes with it on every film on record.' }),
        text: z.string(),
      }),
    ),
    notes: z.array(z.string()).meta({ description: 'What these films cannot tell apart, and the test that would.' }),
  })
  .meta({ id: 'AlikeFilms' });

export const causesAnswer = z
  .object({
    at: when,
    caution,
    site: z.string().optional(),
    line: z.string().optional(),
    causes: z.array(ranked).meta({ description: 'Those that can make one of the signs, most likely first.' }),
    groups: z
      .array(z.object({ cause: z.string(), title: z.string(), probability, of: z.array(z.string()) }))
      .meta({ description: 'Names for several of them together: that any is at work.' }),
    unknown: probability.meta({
      description: 'That none of them is: the signs come from something that nobody lists.',
    }),
    alike: alike.optional().meta({ description: 'What the films that show it have in common.' }),
    first: z.array(z.object({ say: z.string(), minutes: z.number(), bits: z.number(), of: z.array(z.string()) })).meta({
      description: 'What to look at first: most information for a minute, in the order that the knowledge asks for.',
    }),
    open: z
      .array(z.object({ clue: z.string(), ask: z.string() }))
      .meta({ description: 'Clues about these causes that neither the record nor the question answered.' }),
    tables: z
      .array(z.object({ id: z.string(), title: z.string(), url: z.string().optional() }))
      .meta({ description: 'The tables that are named above.' }),
    notes: z.array(z.string()).meta({ description: 'What does not go together, and what to keep in mind.' }),
    text: z.string(),
  })
  .meta({ id: 'CausesAnswer' });
