import * as z from 'zod';
import { id } from '../../events/parts.js';
import { siteConfigured } from '../../events/site-events.js';
import { layers } from '../../packs/model.js';
import { instant } from '../query.js';
import { citation } from './common.js';

/** Where a question is asked: at a site as it is set up and on record, or at none, under the law of some places. */
export const place = {
  site: id(
    'The site whose rules, lines and records answer. Left out: no office, only rules.',
    'brackenfold',
  ).optional(),
  jurisdictions: siteConfigured.shape.jurisdictions.optional().meta({
    description: 'Without a site: whose rules answer. Left out: common practice alone.',
    example: ['us', 'us-wa'],
  }),
  at: instant.optional().meta({
    description: 'As of this instant; now, if left out.',
    override: { type: 'string', format: 'date-time' },
  }),
};

/** Who says it. */
export const word = {
  pack: z.string().meta({ description: 'The pack that says it.' }),
  version: z.string().meta({ description: 'The text of it.' }),
  authority: z.string(),
  layer: z.enum(layers),
  citation,
};
