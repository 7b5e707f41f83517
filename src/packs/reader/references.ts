import type { FactDefinition } from '../facts.js';
import type { Diagnostic } from './diagnostic.js';
import { place } from './spot.js';
import type { Ranged, Spot } from './spot.js';

/** A name that another pack may define, and where it was used: judged once all packs are known. */
export interface Reference {
  readonly kind: 'limit' | 'chart' | 'rule' | 'cause' | 'jurisdiction';
  readonly name: string;
  /** The unit that the limit's or chart's values must be in, when the place says so. */
  readonly of?: { readonly fact: string; readonly unit: string | undefined };
  /** A condition names the limit: what it holds against it should be what the limit bounds. */
  readonly isJudged?: true;
  readonly at: Pick<Diagnostic, 'file' | 'line' | 'column' | 'endLine' | 'endColumn' | 'path'>;
}

/** Collects references and definitions while a file is read. */
export class References {
  readonly used: Reference[] = [];
  readonly defined: Reference[] = [];

  limit(spot: Spot, name: string, of?: FactDefinition, at?: Ranged | null): void {
    this.used.push(reference('limit', spot, name, of, at));
  }
  /** A limit that a condition holds a fact against. */
  judged(spot: Spot, name: string, of: FactDefinition): void {
    this.used.push({ ...reference('limit', spot, name, of), isJudged: true });
  }
  /** By full id. */
  rule(spot: Spot, name: string): void {
    this.used.push(reference('rule', spot, name, undefined));
  }
  chart(spot: Spot, name: string, of?: FactDefinition): void {
    this.used.push(reference('chart', spot, name, of));
  }
  define(kind: Reference['kind'], spot: Spot, name: string, of?: FactDefinition): void {
    this.defined.push(reference(kind, spot, name, of));
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
    at: { file: spot.reading.source.file, ...place(spot, at), path: spot.path },
  };
}
