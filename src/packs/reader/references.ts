import type { FactDefinition } from '../facts.js';
import type { Chart, Duty, Limit, OperatorName } from '../model.js';
import type { Diagnostic } from './diagnostic.js';
import { place } from './spot.js';
import type { Ranged, Spot } from './spot.js';

/** A name that another pack may define, and where it was used: judged once all packs are known. */
export interface Reference {
  readonly kind: 'limit' | 'chart' | 'rule' | 'cause' | 'jurisdiction' | 'table' | 'defect';
  readonly name: string;
  /** The unit that the limit's or chart's values must be in, when the place says so. */
  readonly of?: { readonly fact: string; readonly unit: string | undefined };
  /** A condition names the limit: what it holds against it should be what the limit bounds. */
  readonly isJudged?: true;
  /** How it is held against it, and at which events; those are known once the whole check is read. */
  readonly judged?: { readonly operator: OperatorName; on?: readonly string[] };
  /** A duty is owed by the limit, for each of these; known once the whole duty is read. */
  readonly owed?: { per?: Duty['per'] };
  /** Of a definition: what it defines, if it could be read, and where its fields stand. */
  rung?: Placed<Limit>;
  table?: Placed<Chart>;
  readonly at: Place;
}
export type Place = Pick<Diagnostic, 'file' | 'line' | 'column' | 'endLine' | 'endColumn' | 'path'>;
interface Placed<T> {
  readonly value: T;
  /** Of a field that is there; else of the whole. */
  readonly at: (field: string) => Place;
  readonly has: (field: string) => boolean;
}

/** Collects references and definitions while a file is read. */
export class References {
  readonly used: Reference[] = [];
  readonly defined: Reference[] = [];

  limit(spot: Spot, name: string, of?: FactDefinition, at?: Ranged | null): void {
    this.used.push(reference('limit', spot, name, of, at));
  }
  /** A limit that a condition holds a fact against. */
  judged(spot: Spot, name: string, of: FactDefinition, operator: OperatorName): void {
    this.used.push({ ...reference('limit', spot, name, of), isJudged: true, judged: { operator } });
  }
  /** A limit that a duty is owed by. */
  owed(spot: Spot, name: string): void {
    this.used.push({ ...reference('limit', spot, name, undefined), owed: {} });
  }
  /** What a check or a duty has named since `from` of `used`, it judges at these events, or owes for each of these. */
  belongs(from: number, { on, per }: { on?: readonly string[] | undefined; per?: Duty['per'] | undefined }): void {
    for (const { judged, owed } of this.used.slice(from)) {
      if (judged !== undefined && on !== undefined) judged.on = on;
      if (owed !== undefined && per !== undefined) owed.per = per;
    }
  }
  /** By full id. */
  rule(spot: Spot, name: string): void {
    this.used.push(reference('rule', spot, name, undefined));
  }
  /** A table of causes, or a cause of defects. */
  defect(kind: 'table' | 'defect', spot: Spot, name: string): void {
    this.used.push(reference(kind, spot, name, undefined));
  }
  chart(spot: Spot, name: string, of?: FactDefinition): void {
    this.used.push(reference('chart', spot, name, of));
  }
  define(kind: Reference['kind'], spot: Spot, name: string, of?: FactDefinition): Reference {
    const made = reference(kind, spot, name, of);
    this.defined.push(made);
    return made;
  }
}

function reference(
  kind: Reference['kind'],
  spot: Spot,
  name: string,
  of: FactDefinition | undefined,
  at?: Ranged | null,
): Reference {
  return {
    kind,
    name,
    ...(of === undefined ? {} : { of: { fact: of.name, unit: of.unit } }),
    at: placeOf(spot, at),
  };
}

export function placeOf(spot: Spot, at?: Ranged | null): Place {
  return { file: spot.reading.source.file, ...place(spot, at), path: spot.path };
}

/** Where some fields of a part stand, for faults that are found once all packs are known. */
export function placedFields<F extends string>(
  spot: Spot,
  got: { at(field: F): Spot; has(field: F): boolean },
  fields: readonly F[],
): Pick<Placed<unknown>, 'at' | 'has'> {
  const places = new Map<string, Place>(
    fields.filter((field) => got.has(field)).map((field) => [field, placeOf(got.at(field))]),
  );
  const whole = placeOf(spot);
  return { at: (field) => places.get(field) ?? whole, has: (field) => places.has(field) };
}
