import { nearest } from '../../events/nearest.js';
import type { Diagnostic, FaultCode } from './diagnostic.js';
import type { PackRead } from './index.js';
import type { Reference } from './references.js';
import { sameDimension } from './units.js';

/**
 * Check what packs say of one another: limits and charts that none defines, ids taken twice, units that do not fit.
 * Pass every pack that will be in force together, those with faults too, so that one bad file is not ten faults.
 */
export function checkPacks(reads: readonly PackRead[]): Diagnostic[] {
  const limits = byName(reads, 'limit');
  const charts = byName(reads, 'chart');
  return [
    ...reads.flatMap((read) =>
      read.used.flatMap((reference) => missing(reference, reference.kind === 'limit' ? limits : charts)),
    ),
    ...[...charts.values()].flatMap(([first, ...others]) =>
      others
        .filter((other) => other.at.file !== first?.at.file)
        .map((other) =>
          told(other, 'duplicate-id', `The chart ${other.name} is already defined in ${first?.at.file}.`),
        ),
    ),
    ...[...limits.values()].flatMap(([first, ...others]) => others.flatMap((other) => unlike(first, other))),
    ...samePacks(reads),
  ];
}

function byName(reads: readonly PackRead[], kind: Reference['kind']): Map<string, Reference[]> {
  const found = new Map<string, Reference[]>();
  for (const read of reads)
    for (const each of read.defined) {
      if (each.kind !== kind) continue;
      const list = found.get(each.name);
      if (list === undefined) found.set(each.name, [each]);
      else list.push(each);
    }
  return found;
}

function missing(reference: Reference, defined: ReadonlyMap<string, readonly Reference[]>): Diagnostic[] {
  const { kind, name, of } = reference;
  const definitions = defined.get(name);
  if (definitions === undefined) {
    const near = nearest(name, defined.keys());
    return [
      {
        ...told(
          reference,
          kind === 'limit' ? 'unknown-limit' : 'unknown-chart',
          `No pack defines the ${kind} "${name}".${near === undefined ? '' : ` Did you mean ${near}?`}`,
        ),
        ...(near === undefined ? {} : { nearest: near }),
      },
    ];
  }
  const other = definitions.find((each) => of !== undefined && each.of !== undefined && !fits(of.unit, each.of.unit));
  if (of === undefined || other?.of === undefined) return [];
  return [
    told(
      reference,
      'unit-mismatch',
      `The ${kind} ${name} is of ${other.of.fact}, in ${unitOf(other.of)}; ${of.fact} is in ${unitOf(of)}.`,
    ),
  ];
}

/** Limits of one name form one ladder: they must bound the same kind of value. */
function unlike(first: Reference | undefined, other: Reference): Diagnostic[] {
  if (first?.of === undefined || other.of === undefined || fits(first.of.unit, other.of.unit)) return [];
  const message = `The limit ${other.name} is of ${first.of.fact} in ${first.at.file}, in ${unitOf(first.of)}; ${other.of.fact} is in ${unitOf(other.of)}.`;
  return [told(other, 'unit-mismatch', message)];
}

const unitOf = (of: { unit: string | undefined }) => of.unit ?? 'whole numbers';

const fits = (a: string | undefined, b: string | undefined) =>
  a === b || (a !== undefined && b !== undefined && sameDimension(a, b) && a !== 'd' && b !== 'd');

/** One id and version stands for one text. */
function samePacks(reads: readonly PackRead[]): Diagnostic[] {
  const seen = new Map<string, string>();
  return reads.flatMap((read) => {
    if (read.pack === undefined) return [];
    const key = `${read.pack.id} ${read.pack.version}`;
    const first = seen.get(key);
    if (first === undefined) {
      seen.set(key, read.file);
      return [];
    }
    const message = `The pack ${read.pack.id}, version ${read.pack.version}, is already defined in ${first}.`;
    return [
      { file: read.file, line: 1, column: 1, code: 'duplicate-id', severity: 'error', message, path: '/pack' } as const,
    ];
  });
}

function told(reference: Reference, code: FaultCode, message: string): Diagnostic {
  return { ...reference.at, code, severity: 'error', message };
}
