import { z } from 'zod';
import { listed, pointerTo } from './faults.js';
import type { Fault, FaultCode } from './faults.js';
import { asksForIdentity } from './identity.js';
import { nearest } from './nearest.js';
import { unitMeant } from './units.js';

type Issue = z.core.$ZodIssue;
type Path = readonly PropertyKey[];

/**
 * Turns what a schema found into faults in plain words. Values are never repeated, only names: a value may be what must
 * not be kept, and rejected events can be read by others.
 *
 * @param at where `value` lies in the event, as a path.
 */
export function explain(schema: z.ZodType, value: unknown, issues: readonly Issue[], at: Path): Fault[] {
  // The length of a text means nothing where a list is expected: a value of another kind is told once.
  const otherKind = new Set(issues.flatMap(({ code, path }) => (code === 'invalid_type' ? [pointerTo(path)] : [])));
  return issues
    .filter(({ code, path }) => !(code === 'too_small' || code === 'too_big') || !otherKind.has(pointerTo(path)))
    .flatMap((issue) => explainOne(schema, value, issue, at));
}

function explainOne(schema: z.ZodType, value: unknown, issue: Issue, at: Path): Fault[] {
  const pointer = pointerTo([...at, ...issue.path]);
  const field = schemaAt(schema, issue.path);
  const given = valueAt(value, issue.path);
  const one = (code: FaultCode, message: string, rest: Partial<Fault> = {}): Fault[] => [
    { code, pointer, message, ...rest },
  ];
  switch (issue.code) {
    case 'unrecognized_keys':
      return issue.keys.map((key) => unknownField(key, field, [...at, ...issue.path]));
    case 'invalid_type':
      return given === undefined
        ? [missing(field, pointer)]
        : one('wrong-type', `must be ${kindOf(field, issue.expected)}`);
    case 'invalid_value': {
      if (given === undefined) return [missing(field, pointer)];
      const allowed = issue.values.map(String);
      const unit = issue.path.at(-1) === 'unit';
      const meant =
        typeof given === 'string' ? (unit ? unitMeant(given, allowed) : nearest(given, allowed)) : undefined;
      return one(
        unit ? 'unit' : 'not-allowed',
        `must be ${unit ? 'the unit code ' : ''}${listed(allowed)}${meant ? `; did you mean ${meant}?` : ''}`,
        { allowed, ...(meant ? { nearest: meant } : {}) },
      );
    }
    case 'too_small':
    case 'too_big': {
      const [side, bound] = issue.code === 'too_small' ? ['at least', issue.minimum] : ['at most', issue.maximum];
      const things = { string: 'character', array: 'item' }[issue.origin as string];
      if (things === undefined) return one('out-of-range', `must be ${side} ${bound}`);
      return one('length', `must have ${side} ${bound} ${things}${Number(bound) === 1 ? '' : 's'}`);
    }
    case 'invalid_format':
      return one('format', issue.message);
    case 'invalid_union':
      return explainUnion(field, given, issue.errors, [...at, ...issue.path]);
    case 'custom':
      return one((issue.params?.code as FaultCode | undefined) ?? 'format', issue.message);
    default:
      return one('format', 'is not accepted');
  }
}

/** Of the ways a union can be read, the one that was tried: the others fail at once, with another kind of value. */
function explainUnion(
  field: z.ZodType | undefined,
  given: unknown,
  branches: readonly (readonly Issue[])[],
  at: Path,
): Fault[] {
  const options = field instanceof z.ZodUnion ? (field.options as readonly z.ZodType[]) : [];
  const tried = branches.flatMap((issues, index) => {
    const option = options[index];
    const otherKind = issues.some((issue) => issue.path.length === 0 && issue.code === 'invalid_type');
    return option && !otherKind ? [explain(option, given, issues, at)] : [];
  });
  if (tried.length === 0) {
    const described = field?.meta()?.description?.replace(/\.$/, '');
    const expected = described && described.charAt(0).toLowerCase() + described.slice(1);
    return [
      {
        code: 'wrong-type',
        pointer: pointerTo(at),
        message: expected ? `must be another kind of value (${expected})` : 'must be another kind of value',
      },
    ];
  }
  tried.sort((a, b) => a.length - b.length);
  const best = tried[0] as Fault[];
  const units = tried.flat().filter((fault) => fault.code === 'unit');
  if (units.length < 2 || units.length !== tried.flat().length) return best;
  // Several dimensions are possible and the unit belongs to none of them: list the units of all.
  const allowed = [...new Set(units.flatMap((fault) => fault.allowed ?? []))];
  const meant = units.find((fault) => fault.nearest)?.nearest;
  const message = `must be the unit code ${listed(allowed, 20)}${meant ? `; did you mean ${meant}?` : ''}`;
  return [
    { code: 'unit', pointer: (units[0] as Fault).pointer, message, allowed, ...(meant ? { nearest: meant } : {}) },
  ];
}

function unknownField(key: string, holder: z.ZodType | undefined, path: Path): Fault {
  const pointer = pointerTo([...path, key]);
  if (asksForIdentity(key)) {
    const message =
      'asks who the patient is, which is never taken; "patient" holds an opaque token, where there is one';
    return { code: 'identity', pointer, message };
  }
  const known = holder instanceof z.ZodObject ? Object.keys(holder.shape) : [];
  const meant = nearest(key, known);
  const fields = known.length === 1 ? 'the field is' : 'the fields are';
  const hint = meant ? `; did you mean "${meant}"?` : known.length > 0 ? `; ${fields} ${listed(known, 30, 'and')}` : '';
  return {
    code: 'unknown-field',
    pointer,
    message: `is not a field here${hint}`,
    allowed: known,
    ...(meant ? { nearest: meant } : {}),
  };
}

function missing(field: z.ZodType | undefined, pointer: string): Fault {
  const inner = field && unwrapped(field);
  const allowed = inner instanceof z.ZodEnum ? inner.options.map(String) : undefined;
  const what = allowed ? `: ${listed(allowed)}` : '';
  return { code: 'missing', pointer, message: `is required${what}`, ...(allowed ? { allowed } : {}) };
}

const kinds: Readonly<Record<string, string>> = {
  string: 'text',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
  object: 'an object',
  array: 'a list',
};

function kindOf(field: z.ZodType | undefined, expected: string): string {
  const inner = field && unwrapped(field);
  if (inner instanceof z.ZodObject && 'value' in inner.shape && 'unit' in inner.shape) {
    const example = inner.meta()?.example ?? field?.meta()?.example;
    return `a quantity with its unit${example ? `, such as ${JSON.stringify(example)}` : ''}`;
  }
  return kinds[expected] ?? expected;
}

function unwrapped(schema: z.ZodType): z.ZodType {
  let inner = schema;
  while (inner instanceof z.ZodOptional) inner = inner.unwrap() as z.ZodType;
  return inner;
}

/** The schema that a path leads to; undefined past a union, whose branches are explained one by one. */
function schemaAt(schema: z.ZodType, path: Path): z.ZodType | undefined {
  let at: z.ZodType | undefined = unwrapped(schema);
  for (const step of path) {
    if (at instanceof z.ZodObject) at = (at.shape as Record<string, z.ZodType>)[String(step)];
    else if (at instanceof z.ZodArray) at = at.element as z.ZodType;
    else if (at instanceof z.ZodUnion) {
      const options = at.options as readonly z.ZodType[];
      at = options.map((option) => schemaAt(option, [step])).find((found) => found !== undefined);
    } else return undefined;
    if (at) at = unwrapped(at);
  }
  return at;
}

function valueAt(value: unknown, path: Path): unknown {
  let at = value;
  for (const step of path) {
    if (typeof at !== 'object' || at === null || !Object.hasOwn(at, step)) return undefined;
    at = (at as Record<PropertyKey, unknown>)[step];
  }
  return at;
}
