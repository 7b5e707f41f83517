import type { AnyEvent } from '../../events/event.js';
import type { EventPattern } from '../../packs/model.js';

/**
 * Whether an event is one of the patterns: type, given values, fields that must be there. Dotted names go into `data`; a
 * field that is a list has to hold one of the values.
 */
export function matches(patterns: readonly EventPattern[], event: AnyEvent): boolean {
  return patterns.some(
    (pattern) =>
      pattern.event === event.type &&
      Object.entries(pattern.with).every(([name, values]) => holds(field(event, name), values)) &&
      pattern.has.every((name) => field(event, name) !== undefined),
  );
}

function holds(value: unknown, values: readonly unknown[]): boolean {
  return Array.isArray(value) ? value.some((each) => values.includes(each)) : values.includes(value);
}

const defaults: Readonly<Record<string, unknown>> = { 'film.processed purpose': 'patient' };

function field(event: AnyEvent, name: string): unknown {
  let value: unknown = event.data;
  for (const part of name.split('.')) {
    if (typeof value !== 'object' || value === null || !Object.hasOwn(value, part)) {
      value = undefined;
      break;
    }
    value = (value as Record<string, unknown>)[part];
  }
  return value ?? defaults[`${event.type} ${name}`];
}
