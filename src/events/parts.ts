import { z } from 'zod';
import { identityIn } from './identity.js';
import { isLocalDate, isLocalMonth, parseInstant } from './instant.js';

/** Pieces that the families share: ids, texts, dates, and the two fields that every `data` may carry. */

/**
 * An id of the office's own: a line, a film, a lot, a staff code. Never guessed at, never looked into. Names that every
 * JavaScript object has from birth (`constructor`, `__proto__`) are refused: state is kept by id in plain objects, and
 * such a name would find, or change, what belongs to all of them.
 */
const inborn = Object.getOwnPropertyNames(Object.prototype).sort();
export const idPattern = new RegExp(`^(?!(?:${inborn.join('|')})$)[A-Za-z0-9._:-]{1,64}$`);
export const idRule = 'must be 1 to 64 characters out of A-Z a-z 0-9 . _ : - (and no name such as constructor)';
export const id = (description: string, example: string) =>
  z.string().regex(idPattern, { error: idRule }).meta({ description, example });

/** The `source` or `id` of another event. */
export const printable = /^[\x20-\x7e]{1,256}$/;
export const eventAttribute = (description: string, example: string) =>
  z.string().regex(printable, { error: 'must be 1 to 256 printable ASCII characters' }).meta({ description, example });

/** The name of a rule: `<pack>/<rule>`, or of what a pack defines. */
export const ruleId = (description: string, example: string) =>
  z
    .string()
    .regex(/^[A-Za-z0-9._:/-]{1,200}$/, { error: 'must be 1 to 200 characters out of A-Z a-z 0-9 . _ : / -' })
    .meta({ description, example });

/** A short name of a thing: a product, a dilution. */
export const label = (description: string, example: string) =>
  z.string().min(1).max(100).meta({ description, example });

/** What people write in their own words. Refused when it looks like a patient's identity (a heuristic). */
export const freeText = (description: string, example: string, max = 500) =>
  z
    .string()
    .min(1)
    .max(max)
    .superRefine((text, context) => {
      const hit = identityIn(text);
      if (hit)
        context.addIssue({
          code: 'custom',
          message: `looks like a patient's ${hit.kind}, and patient identity is never taken; take it out and send the event again`,
          params: { code: 'identity' },
        });
    })
    .meta({ description: `${description} At most ${max} characters; no patient identity.`, example });

const date = (check: (text: string) => boolean, error: string) =>
  z.string().refine(check, { error, params: { code: 'format' } });

export const localDate = (description: string, example = '2026-03-08') =>
  date(isLocalDate, 'must be a calendar date, YYYY-MM-DD').meta({ description, example });

export const monthOrDate = (description: string, example = '2026-08') =>
  date((text) => isLocalDate(text) || isLocalMonth(text), 'must be a month, YYYY-MM, or a date, YYYY-MM-DD').meta({
    description,
    example,
  });

export const instant = (description: string, example = '2026-03-11T12:30:00-05:00') =>
  date(
    (text) => parseInstant(text) !== undefined,
    'must be a date and time with offset, 2026-03-11T12:30:00-05:00',
  ).meta({
    description,
    example,
  });

export const dateOrInstant = (description: string, example = '2026-01-19') =>
  date(
    (text) => isLocalDate(text) || parseInstant(text) !== undefined,
    'must be a date, YYYY-MM-DD, or a date and time with offset, 2026-03-11T12:30:00-05:00',
  ).meta({ description, example });

export const count = (description: string, example: number, min = 0, max = 10_000) =>
  z.int().min(min).max(max).meta({ description, example });

export const flag = (description: string) => z.boolean().meta({ description, example: true });

/** A list without repeats, `key` naming what must differ. */
export function distinct<T extends z.ZodType>(
  item: T,
  { min = 0, max, key = (value) => value }: { min?: number; max: number; key?: (value: z.output<T>) => unknown },
) {
  return z
    .array(item)
    .min(min)
    .max(max)
    .superRefine((list, context) => {
      if (list.length < 2) return;
      const seen = new Set<unknown>();
      list.forEach((value, at) => {
        const mark = key(value);
        if (mark !== undefined && seen.has(mark))
          context.addIssue({
            code: 'custom',
            message: 'is in the list twice',
            path: [at],
            params: { code: 'repeated' },
          });
        seen.add(mark);
      });
    });
}

const by = id('Staff code of who did it; never a name.', 'op-3');
const note = freeText('Anything worth keeping.', 'water heater was off');

/** The strict object of one type's data: its own fields, and `by` and `note`. */
export function data<S extends z.core.$ZodLooseShape>(description: string, example: object, shape: S) {
  return z.strictObject({ ...shape, by: by.optional(), note: note.optional() }).meta({ description, example });
}

type Fields = Record<string, unknown>;

/**
 * A rule across fields, which runs even when other fields are at fault, so that one answer names all faults. It sees
 * the data as sent: nothing about the fields' types may be taken for granted.
 */
export function across<T extends z.ZodObject>(
  schema: T,
  holds: (data: Fields) => boolean,
  error: string,
  path?: string,
): T {
  return schema.check(
    z.refine((value) => typeof value !== 'object' || value === null || holds(value as Fields), {
      error,
      path: path === undefined ? [] : [path],
      params: { code: 'combination' },
      when: () => true,
    }),
  );
}

/** At least one of these fields. */
export function oneOf<T extends z.ZodObject>(schema: T, ...names: string[]): T {
  return across(schema, (sent) => names.some((name) => sent[name] !== undefined), `must have ${names.join(' or ')}`);
}

/** Exactly one of these fields. */
export function eitherOf<T extends z.ZodObject>(schema: T, ...names: string[]): T {
  return across(
    schema,
    (sent) => names.filter((name) => sent[name] !== undefined).length === 1,
    `must have ${names.join(' or ')}, and not ${names.length === 2 ? 'both' : 'several'}`,
  );
}

/** None or one of these fields. */
export function atMostOneOf<T extends z.ZodObject>(schema: T, ...names: string[]): T {
  return across(
    schema,
    (sent) => names.filter((name) => sent[name] !== undefined).length <= 1,
    `may have ${names.join(' or ')}, not both`,
  );
}
