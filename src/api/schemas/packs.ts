import * as z from 'zod';
import { layers } from '../../packs/model.js';
import { diagnostic } from './diagnostics.js';
import { citation, severity, when } from './common.js';

const head = {
  id: z.string().meta({ example: 'us-wa/processing' }),
  version: z.string().meta({ description: 'Of the pack’s text.' }),
  title: z.string().meta({ description: 'What it is about.' }),
  authority: z.string().meta({ description: 'Who says so.' }),
  layer: z.enum(layers).meta({ description: 'Whose word it is.' }),
  jurisdiction: z
    .string()
    .optional()
    .meta({ description: 'A site must list it for the pack to apply; absent: everywhere.' }),
  from: z.string().optional().meta({ description: 'In force from this local date.' }),
  to: z.string().optional().meta({ description: 'In force through this local date.' }),
};
const stands = {
  standsFrom: when.optional().meta({ description: 'This text stands from then on; absent: from ever on.' }),
  standsTo: when.optional().meta({ description: 'Another takes its place then; absent: none is known to.' }),
};
const publication = {
  hash: z.string().meta({ description: 'SHA-256 of the text.' }),
  effective: when.optional().meta({ description: 'From when on it judges; absent for what is shipped.' }),
  publishedAt: when.optional().meta({ description: 'When it was published.' }),
  publishedBy: z.string().optional().meta({ description: 'Id of the key that did.' }),
};
export const packRow = z
  .object({
    ...head,
    ...stands,
    inPlaceOf: z.string().optional().meta({
      description:
        'Version of the shipped pack whose place it takes. When a release brings a newer one, read it: yours still stands.',
    }),
    rules: z.array(z.string()).meta({ description: 'Ids of its checks and duties.' }),
    limits: z.array(z.string()).meta({ description: 'Names of the limits it speaks on.' }),
    charts: z.array(z.string()).meta({ description: 'Ids of its charts.' }),
    obligations: z
      .array(z.string())
      .meta({ description: 'What its duties take as attested: `obligation` of an `obligation.done`.' }),
    deprecated: z
      .array(z.string())
      .meta({ description: 'Rules and limits that its authors have set aside; they are judged all the same.' }),
    notKnown: z.array(z.string()).meta({ description: 'What its source was searched for and did not show.' }),
  })
  .meta({ id: 'PackRow' });
export const packList = z.object({ items: z.array(packRow) }).meta({ id: 'PackList' });

const anything = z.record(z.string(), z.unknown());
/** The reader's result, in full; docs/packs.md and the JSON Schema of packs describe the parts. */
export const pack = z
  .object({
    ...head,
    ...publication,
    limits: z.array(anything),
    charts: z.array(anything),
    rules: z.array(anything),
    tests: z
      .array(anything)
      .optional()
      .meta({ description: 'Tests of what other packs’ rules find by its limits and charts.' }),
    notKnown: z.array(z.object({ topic: z.string(), note: z.string(), citation })),
  })
  .meta({
    id: 'Pack',
    description: 'A pack as read: quantities with their canonical value, rules with their full ids.',
  });
export const packId = z.object({
  id: z
    .string()
    .regex(/^[a-z0-9-]+(\/[a-z0-9-]+)*$/)
    .max(200)
    .meta({ description: 'Its slashes may be sent as they are, or as %2F.', example: 'us-wa/processing' }),
});

export const versionText = z
  .string()
  .regex(/^\d+(\.\d+){0,2}$/, 'must be numbers joined by points')
  .optional()
  .meta({ description: 'The text of this version.', example: '1.0.0' });

export const packVersions = z
  .object({
    items: z.array(
      z
        .object({
          id: head.id,
          version: head.version,
          ...publication,
          ...stands,
          from: head.from,
          to: head.to,
          replaced: z.literal(true).optional().meta({ description: 'Another took its place altogether.' }),
        })
        .meta({ id: 'PackVersion' }),
    ),
  })
  .meta({ id: 'PackVersions' });

export const publishedPack = z
  .object({
    id: head.id,
    version: head.version,
    hash: publication.hash,
    effective: when.meta({ description: 'From when on it judges.' }),
    publishedAt: when.meta({ description: 'When it was published.' }),
    publishedBy: z.string().meta({ description: 'Id of the key that did.' }),
    isNew: z.boolean().meta({ description: 'False when this very text was published before.' }),
    warnings: z.array(diagnostic).meta({ description: 'What the reader says of it that is no error.' }),
    stillToCome: z
      .array(z.object({ version: head.version, standsFrom: when.meta({ description: 'When it takes over.' }) }))
      .meta({
        description:
          'Texts published earlier for a later instant: they will take its place then. To take one off the calendar, publish a text for that very instant.',
      }),
    replay: z
      .object({
        sites: z.number().int().meta({ description: 'Sites to be judged anew.' }),
        pending: z.array(z.string()).meta({ description: 'Of them, those that are still being judged.' }),
        changed: z.number().int().meta({ description: 'Findings that it changed, without the pending sites.' }),
        changes: z
          .array(
            z.object({
              change: z.string().meta({ description: 'opened, changed, closed, withdrawn or reinstated.' }),
              site: z.string().meta({ description: 'Where.' }),
              finding: z.string().meta({ description: 'Its id.' }),
              rule: z.string().meta({ description: 'Full id of its rule.' }),
              severity,
              state: z.string().meta({ description: 'How it stands now.' }),
              message: z.string().meta({ description: 'What it says.' }),
              opened: when.meta({ description: 'When what it says began.' }),
            }),
          )
          .meta({ description: 'The first 200; the rest is in /v1/findings/changes, with the cause `replay`.' }),
      })
      .meta({ description: 'What it changed of what was found before.' }),
  })
  .meta({ id: 'PublishedPack' });
