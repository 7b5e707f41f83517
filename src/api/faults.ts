import type * as z from 'zod';
import { explain } from '../events/explain.js';
import { faultSentence, listed } from '../events/faults.js';
import { nearest } from '../events/nearest.js';
import { Problem, type ProblemCode, type ProblemFault } from './problems.js';

/** What a schema found wrong with a body, in the same words as an event's faults. */
export function faultsOf(error: z.ZodError, schema: z.ZodType, value: unknown): ProblemFault[] {
  return explain(schema, value, error.issues, []).slice(0, 20);
}

/** The problem of a request with these faults: the first is its detail, all of them (20 at most) its errors. */
export function faulty(code: ProblemCode, faults: readonly ProblemFault[]): Problem {
  const [first] = faults;
  return new Problem(code, first && faultSentence(first, 'The body'), { errors: faults.slice(0, 20) });
}

export function unknownName(pointer: string, name: string, known: readonly string[]): ProblemFault {
  const near = nearest(name, known);
  const others = known.length === 0 ? '' : `; known here: ${listed(known, 20, 'and')}`;
  const hint = near === undefined ? others : `; did you mean ${near}?`;
  return {
    pointer,
    code: 'unknown-field',
    message: `is not known here${hint}`,
    allowed: known,
    ...(near === undefined ? {} : { nearest: near }),
  };
}
