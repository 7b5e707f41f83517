import * as z from 'zod';
import { caution, when } from './common.js';

const probability = z.number().min(0).max(1);
const weight = z.number().min(0);
const cause = z.string().meta({ example: 'dev_cold' });

export const learnedAnswer = z
  .object({
    site: z.string(),
    at: when,
    caution,
    items: z
      .array(
        z.object({
          cause,
          title: z.string(),
          site: weight.meta({ description: 'Confirmed here; what is half a year old counts half.' }),
          group: weight.meta({ description: 'Confirmed at the sites of the organisation, as last published.' }),
          published: probability.meta({ description: 'That it is at work on a bad film, as published.' }),
          now: probability.meta({ description: 'The same, with what was confirmed.' }),
        }),
      )
      .meta({ description: 'Causes that were confirmed, the weightiest first; none: everything is as published.' }),
    lessons: z
      .array(z.object({ at: when, finding: z.string(), cause, before: probability, after: probability }))
      .meta({ description: 'The latest that were confirmed here, newest first, with the prior before and after.' }),
  })
  .meta({ id: 'LearnedCauses' });
