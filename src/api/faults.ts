import type * as z from 'zod';
import { explain } from '../events/explain.js';
import { nearest } from '../events/nearest.js';
import type { ProblemFault } from './problems.js';

/** What a schema found wrong with a body, in the same words as an event's faults. */
export function faultsOf(error: z.ZodError, schema: z.ZodType, value: unknown): ProblemFault[] {
  return explain(schema, value, error.issues, []).slice(0, 20);
}

export function unknownName(pointer: string, name: string, known: readonly string[]): ProblemFault {
  const near = nearest(name, known);
  return {
    pointer,
    code: 'unknown-field',
    message: near === undefined ? 'is not known here' : `is not known here; did you mean ${near}?`,
    allowed: known,
    ...(near === undefined ? {} : { nearest: near }),
  };
}
