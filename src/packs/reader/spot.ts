import { isAlias } from 'yaml';
import type { Node } from 'yaml';
import type { Diagnostic, FaultCode } from './diagnostic.js';
import { packCaps, span } from './source.js';
import type { Source } from './source.js';

/** A place in the file that is being read: its node, its name for people and its JSON Pointer. */
export interface Spot {
  readonly reading: Reading;
  /** Aliases already followed; null where the value is left empty. */
  readonly node: Node | null;
  /** Where a fault is shown when there is no node: the key, or the mapping it is missing from. */
  readonly shown: Node | null;
  readonly path: string;
  readonly name: string;
}

/** Collects the faults of one file. */
export class Reading {
  readonly diagnostics: Diagnostic[] = [];
  /** Places looked at so far; each is looked at a few times. */
  steps = 0;
  constructor(readonly source: Source) {}

  /** No more faults are recorded: the rest is not looked at closely. */
  get isFull(): boolean {
    return this.diagnostics.length >= packCaps.faults;
  }

  root(): Spot {
    return this.spot(this.source.root, this.source.root, '', 'pack');
  }

  spot(value: unknown, key: Node | null, path: string, name: string): Spot {
    this.steps += 1;
    const node = isAlias(value) ? (this.source.targets.get(value) ?? null) : ((value ?? null) as Node | null);
    return { reading: this, node, shown: (isAlias(value) ? value : node) ?? key, path, name };
  }
}

/** A stretch of the file. */
export type Ranged = Pick<Node, 'range'>;

/** Where a piece of a text stands in the file; the whole text when its spelling there differs. */
export function within(spot: Spot, piece: string): Ranged | null {
  const [from, to] = spot.node?.range ?? [0, 0];
  const start = spot.reading.source.text.slice(from, to).indexOf(piece);
  return start === -1 ? null : { range: [from + start, from + start + piece.length, from + start + piece.length] };
}

interface FaultMore {
  /** The nearest known name; the message then asks whether it was meant. */
  readonly nearest?: string;
  /** The same, where the message asks already. */
  readonly alreadyNamed?: string;
  /** Where to point instead of the value. */
  readonly at?: Ranged | null;
}

/** Record a fault at a spot. */
export function fault(spot: Spot, code: FaultCode, message: string, more: FaultMore = {}): undefined {
  return record('error', spot, code, message, more);
}

/** Record what is accepted, but hardly meant or soon gone. */
export function warn(spot: Spot, code: FaultCode, message: string): undefined {
  return record('warning', spot, code, message, {});
}

function record(
  severity: Diagnostic['severity'],
  spot: Spot,
  code: FaultCode,
  message: string,
  more: FaultMore,
): undefined {
  if (spot.reading.isFull) return undefined;
  const close = more.nearest ?? more.alreadyNamed;
  spot.reading.diagnostics.push({
    file: spot.reading.source.file,
    ...place(spot, more.at),
    code,
    severity,
    message: more.nearest === undefined ? message : `${message} Did you mean ${more.nearest}?`,
    ...(close === undefined ? {} : { nearest: close }),
    path: spot.path,
  });
  return undefined;
}

/** Lines and columns of a spot. */
export function place(spot: Spot, at?: Ranged | null) {
  const [from, to] = (at ?? spot.shown)?.range ?? [0, 1];
  return span(spot.reading.source.lines, from, to);
}
