import type { EventData, EventType } from './catalogue.js';
import { isoOfUniversal } from './teeth.js';
import { toCanonical } from './units.js';

/**
 * Data as the fold reads it: every `{ value, unit }` a plain number in its canonical unit, teeth in ISO 3950, what was
 * left out filled in. Takes data that the schema of the type has accepted (as decode gives it, or as the ledger kept it)
 * and does not look again: it is cheap enough to run at every replay.
 *
 * @throws RangeError for a unit that is not accepted: the data was never validated.
 */
export function canonicalData<T extends EventType>(type: T, sent: unknown): EventData[T] {
  const reduced = reduce(sent) as Record<string, unknown>;
  if (type === 'film.processed') reduced.purpose ??= 'patient';
  if (type === 'stepwedge.read' && reduced.difference) {
    (reduced.difference as { direction?: string }).direction ??= 'same';
  }
  return reduced as unknown as EventData[T];
}

function reduce(value: unknown): unknown {
  // Adding 0 turns -0 into 0: the state must not change when it is written as JSON and read back.
  if (typeof value === 'number') return value + 0;
  if (typeof value !== 'object' || value === null) return value;
  if (Array.isArray(value)) return value.map(reduce);
  const fields = value as Record<string, unknown>;
  if (typeof fields.unit === 'string' && typeof fields.value === 'number' && countFields(fields) === 2) {
    return toCanonical(fields.value, fields.unit);
  }
  if (Array.isArray(fields.universal) && countFields(fields) === 1) {
    return fields.universal.map((tooth: string) => isoOfUniversal(tooth));
  }
  const reduced: Record<string, unknown> = {};
  for (const name in fields) if (fields[name] !== undefined) reduced[name] = reduce(fields[name]);
  return reduced;
}

function countFields(fields: object): number {
  let count = 0;
  for (const _ in fields) count += 1;
  return count;
}
