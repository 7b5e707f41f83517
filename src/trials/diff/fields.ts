import type {
  Cadence,
  Citation,
  Condition,
  EventPattern,
  Message,
  Period,
  Quantity,
  Selector,
} from '../../packs/model.js';
import { sayPeriod, sayQuantity } from '../../engine/words.js';
import { sayBoundOf, sayCondition, saySelector } from '../sentences.js';
import type { Bound } from '../../packs/model.js';
import type { Strictness } from './strictness.js';
import type { Bump } from './version.js';

/** A field with what it held and holds, as a person reads it; absent where it was not there. */
export interface FieldChange {
  readonly field: string;
  readonly before?: string;
  readonly after?: string;
  readonly strictness?: Strictness;
  readonly asks: Bump;
}

/** What a change of a field asks of the version; of one that is not named it is not sure that it is no loosening. */
export type Weights = Readonly<Record<string, Bump>>;

/** Fields that differ, by their JSON; `apart` are looked at elsewhere. */
export function fieldChanges<T extends object>(
  before: T,
  after: T,
  weights: Weights,
  apart: readonly (keyof T)[] = [],
): FieldChange[] {
  const names = [...new Set([...Object.keys(before), ...Object.keys(after)])] as (keyof T & string)[];
  return names
    .filter((name) => !apart.includes(name) && JSON.stringify(before[name]) !== JSON.stringify(after[name]))
    .map((field) => ({
      field,
      ...sides(sayField(field, before[field]), sayField(field, after[field])),
      asks: weights[field] ?? 'major',
    }));
}

/** `{ before, after }` without those that are not there. */
export function sides(before: string | undefined, after: string | undefined): { before?: string; after?: string } {
  return { ...(before === undefined ? {} : { before }), ...(after === undefined ? {} : { after }) };
}

/** A field of a pack in words; what has no words of its own is JSON. */
export function sayField(name: string, value: unknown): string | undefined {
  if (value === undefined) return undefined;
  switch (name) {
    case 'min':
    case 'max':
      return sayBoundOf(value as Bound);
    case 'target': {
      const { min, max } = value as { min: Quantity; max: Quantity };
      return `${sayQuantity(min)} to ${sayQuantity(max)}`;
    }
    case 'when':
    case 'clearedBy':
      return sayCondition(value as Condition);
    case 'for':
      return saySelector(value as Selector) || 'everything';
    case 'citation': {
      const { text, read, shown } = value as Citation;
      return `${text} (${[read, shown].filter((word) => word !== undefined).join(', ')})`;
    }
    case 'messages':
      return (value as readonly Message[])
        .map(({ when, say }) => (when === undefined ? say : `[${sayCondition(when)}] ${say}`))
        .join(' / ');
    case 'must':
      return (value as readonly EventPattern[]).map(sayPattern).join(' or ');
    case 'cadence':
      return sayCadence(value as Cadence);
    case 'remind':
    case 'join':
    case 'again':
      return typeof value === 'string' ? value : sayPeriod(value as Period);
    default:
      return typeof value === 'string' ? value : Array.isArray(value) ? value.join(', ') : JSON.stringify(value);
  }
}

function sayPattern({ event, with: values, has }: EventPattern): string {
  const parts = [...Object.entries(values).map(([name, words]) => `${name} ${words.join(' or ')}`), ...has];
  return parts.length === 0 ? event : `${event} (${parts.join(', ')})`;
}

function sayCadence(cadence: Cadence): string {
  const patterns = (list: readonly EventPattern[]) => list.map(sayPattern).join(' or ');
  switch (cadence.kind) {
    case 'every': {
      const { limit, period, films } = cadence;
      const parts = [
        limit === undefined ? [] : `by the limit ${limit}`,
        period === undefined ? [] : `every ${sayPeriod(period)}`,
        films === undefined ? [] : `every ${films} films`,
      ].flat();
      return parts.join(', ');
    }
    case 'before':
      return `before ${patterns(cadence.before)}`;
    case 'after': {
      const within = cadence.within === undefined ? '' : ` within ${sayPeriod(cadence.within)}`;
      const before = cadence.before === undefined ? '' : ` before ${patterns(cadence.before)}`;
      return `after ${patterns(cadence.after)}${within}${before}${cadence.eachFilm ? ', each film' : ''}`;
    }
  }
}
