import type { EventRef } from '../events/event.js';

export function refOf(event: { at: number; source: string; id: string; type: string }): EventRef {
  return { at: event.at, source: event.source, id: event.id, type: event.type };
}
export function refKey(ref: { source: string; id: string }): string {
  return `${ref.source}/${ref.id}`;
}

/** A word among an event's data (its line, tube, lot …), whatever its type. */
export function wordIn(event: { readonly data: object }, name: string): string | undefined {
  const value: unknown = Object.hasOwn(event.data, name) ? (event.data as Record<string, unknown>)[name] : undefined;
  return typeof value === 'string' ? value : undefined;
}
