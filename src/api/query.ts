import * as z from 'zod';
import 'zod-openapi';
import { parseInstant } from '../events/instant.js';
import { idPattern } from '../events/parts.js';
import { faultsOf, faulty, unknownName } from './faults.js';
import type { ProblemFault } from './problems.js';

/** The query string, checked: unknown and repeated parameters are refused, with the nearest known name. */
export function readQuery(schema: z.ZodObject | undefined, search: URLSearchParams): unknown {
  const known = Object.keys(schema?.shape ?? {});
  const faults: ProblemFault[] = [];
  const given = new Map<string, string>();
  for (const [name, value] of search) {
    if (!known.includes(name)) faults.push(unknownName(name, name, known));
    else if (given.has(name)) faults.push({ pointer: name, code: 'repeated', message: 'is given more than once' });
    else given.set(name, value);
  }
  if (schema === undefined && faults.length === 0) return {};
  const values = Object.fromEntries(
    [...given].map(([name, value]) => [name, isList(schema?.shape[name]) ? value.split(',') : value]),
  );
  const result = schema?.safeParse(values);
  if (schema !== undefined && result?.success === false) {
    // Parameters have names, not places: `limit` rather than `/limit`.
    for (const fault of faultsOf(result.error, schema, values))
      faults.push({ ...fault, pointer: fault.pointer.slice(1) });
  }
  if (faults.length > 0) throw faulty('invalid-query', faults);
  return result?.data ?? {};
}

/** The `source` of an event, a rule, a topic. */
export const nameText = z.string().regex(/^[\x20-\x7e]{1,256}$/, 'must be 1 to 256 printable ASCII characters');

/** The id of a site, a line, a finding or a key. */
export const idText = z.string().regex(idPattern, 'must be 1 to 64 characters out of A-Z a-z 0-9 . _ : -');

export const siteFilter = idText
  .optional()
  .meta({ description: 'Only this site; left out: all that the key may see.', example: 'brackenfold' });

/** Far outside any ledger, well inside the calendar. */
const latest = Date.parse('2200-01-01T00:00:00Z');

/** RFC 3339 with offset -> ms. A `+` that a query string has turned into a space is taken for what it was. */
export const instant = z
  .string()
  .transform((text, context) => {
    const at = parseInstant(text.replace(/ (?=\d\d:\d\d$)/, '+'));
    if (at !== undefined && at >= 0 && at <= latest) return at;
    const message = 'must be a date and time with offset, such as 2026-03-09T00:00:00-07:00';
    context.addIssue({ code: 'custom', message, params: { code: 'format' } });
    return z.NEVER;
  })
  .meta({
    description: 'RFC 3339 with offset. In a query string, write the + of an offset as %2B.',
    example: '2026-03-09T00:00:00-07:00',
    override: { type: 'string', format: 'date-time' },
  });

export const asOf = instant
  .optional()
  .meta({ description: 'As of this instant; now, if left out.', example: '2026-03-09T07:40:00-07:00' });

/** `a,b,c` of the given words -> an array. */
export function listOf<const W extends readonly [string, ...string[]]>(words: W, description: string, example: string) {
  return z
    .array(z.enum(words))
    .min(1)
    .max(words.length)
    .optional()
    .meta({ description, param: { style: 'form', explode: false, example: example.split(',') } });
}

function isList(schema: z.ZodType | undefined): boolean {
  return schema instanceof z.ZodOptional && schema.unwrap() instanceof z.ZodArray;
}

export const pageSize = z
  .string()
  .regex(/^\d{1,4}$/, 'must be a whole number from 1 to 500')
  .transform(Number)
  .pipe(z.number().int().min(1).max(500))
  .optional()
  .meta({
    description: 'Items a page, 1 to 500; 100 if left out.',
    override: { type: 'integer', minimum: 1, maximum: 500, default: 100 },
  });

export const cursor = z
  .string()
  .min(1)
  .max(2000)
  .regex(/^[A-Za-z0-9_.~-]+$/, 'must be `next` exactly as it came')
  .optional()
  .meta({ description: 'The `next` of the page before. Opaque.' });
