import * as z from 'zod';
import { caution, when } from './common.js';

const days = (description: string) => z.number().meta({ description });

const reached = z
  .object({
    by: z.enum(['age', 'films', 'area', 'drift']).meta({ description: 'What brings the bath to its limit.' }),
    limit: z.string().meta({ description: 'Name of the limit.', example: 'chemistry-age' }),
    pack: z.string().optional().meta({ description: 'The pack that says it; absent for a drift.' }),
    authority: z.string().optional(),
    layer: z.string().optional(),
    due: when.optional().meta({ description: 'Of an age: the first instant at which it is over, UTC.' }),
    days: days('Until then; 0: reached already.'),
    earliest: days('Lower end of the 95 % interval; of an age the same instant.'),
    latest: days('Upper end; absent where so little is used that it may never be reached.').optional(),
    text: z.string().meta({ description: 'In words.' }),
  })
  .meta({ id: 'BathReach' });

const bath = z
  .object({
    line: z.string().meta({ example: 'M1' }),
    bath: z.enum(['developer', 'fixer']),
    since: when
      .optional()
      .meta({ description: 'Its last change; absent: none on record, and nothing is known of it.' }),
    kind: z.string().optional().meta({ description: 'Kind of chemistry, as the change said it.' }),
    product: z.string().optional(),
    age: z.number().optional().meta({ description: 'Calendar days since its change.' }),
    films: z.number().optional().meta({ description: 'Films through it since.' }),
    area: z.number().optional().meta({
      description: 'Area of those whose size is known, mm2. A count of use; what it asks for, the maker says.',
    }),
    unsized: z.number().optional().meta({ description: 'Films among them whose size nobody said.' }),
    rate: z
      .object({
        films: z.number().meta({ description: 'Films for a calendar day.' }),
        area: z.number().meta({ description: 'Area for a calendar day, mm2.' }),
        days: z.number().meta({ description: 'Over so many of the latest finished days, 28 at most.' }),
      })
      .optional(),
    reaches: z.array(reached).meta({ description: 'Every limit in force that it will reach, soonest first.' }),
  })
  .meta({ id: 'Bath' });

export const bathsAnswer = z
  .object({ site: z.string(), at: when, caution, items: z.array(bath) })
  .meta({ id: 'Baths' });
