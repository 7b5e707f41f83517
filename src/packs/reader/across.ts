import { nearest } from '../../events/nearest.js';
import { mistaken } from '../jurisdictions.js';
import type { Pack } from '../model.js';
import type { Diagnostic, FaultCode } from './diagnostic.js';
import type { PackRead } from './index.js';
import { checkLadders } from './ladders.js';
import { checkLayers } from './layers.js';
import type { Reference } from './references.js';
import { packCaps } from './source.js';
import { fits } from './units.js';

/**
 * Check what packs say of one another: limits and charts that none defines, ids taken twice, units that do not fit.
 * Pass every pack that will be in force together, those with faults too, so that one bad file is not ten faults.
 */
export function checkPacks(reads: readonly PackRead[]): Diagnostic[] {
  const limits = byName(reads, 'limit');
  const charts = byName(reads, 'chart');
  const others = new Map(
    (['rule', 'table', 'defect'] as const).map((kind) => [kind as Reference['kind'], byName(reads, kind)]),
  );
  const byKind = (kind: Reference['kind']) =>
    kind === 'limit' ? limits : kind === 'chart' ? charts : (others.get(kind) ?? new Map<string, Reference[]>());
  const owners = new Map(reads.map(({ file, pack }) => [file, pack?.id ?? file]));
  // Versions of one pack may carry the same chart.
  const owner = (reference: Reference | undefined) => owners.get(reference?.at.file ?? '');
  return [
    ...reads.flatMap((read) => few(read.used, (reference) => missing(reference, byKind(reference.kind)))),
    ...[charts, ...(['table', 'defect'] as const).map(byKind)].flatMap((kind) =>
      [...kind.values()].flatMap(([first, ...more]) =>
        more
          .filter((other) => owner(other) !== owner(first))
          .map((other) => told(other, 'duplicate-id', `${other.name} is already defined in ${first?.at.file}.`)),
      ),
    ),
    ...[...limits.values()].flatMap(([first, ...others]) => others.flatMap((other) => unlike(first, other))),
    ...checkLadders(limits, charts, reads),
    ...samePacks(reads),
    ...checkLayers(reads),
    ...lonelyCauses(reads),
    ...mistakenPlaces(reads),
  ];
}

/** What is wrong with the uses of one file, until there are as many faults as are told. */
function few(used: readonly Reference[], look: (reference: Reference) => readonly Diagnostic[]): Diagnostic[] {
  const found: Diagnostic[] = [];
  for (const reference of used) {
    found.push(...look(reference));
    if (found.length >= packCaps.faults) break;
  }
  return found;
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
  if (kind === 'cause' || kind === 'jurisdiction') return [];
  const definitions = defined.get(name);
  if (definitions === undefined) {
    const near = nearest(name, defined.keys());
    return [
      {
        ...told(
          reference,
          `unknown-${kind}`,
          `No pack defines the ${kind} "${name}".${near === undefined ? '' : ` Did you mean ${near}?`}`,
        ),
        ...(near === undefined ? {} : { nearest: near }),
      },
    ];
  }
  const strange = strangeFact(reference, definitions);
  if (strange !== undefined) return [strange];
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

/**
 * A limit is judged by the fact it bounds. A narrower reading of that fact may stand in the condition
 * (`darkroom.safelight.densityIncrease` for `darkroom.densityIncrease`), another fact may not.
 */
function strangeFact(reference: Reference, definitions: readonly Reference[]): Diagnostic | undefined {
  const { isJudged, name, of } = reference;
  if (isJudged !== true || of === undefined) return undefined;
  const bounded = [...new Set(definitions.flatMap((each) => each.of?.fact ?? []))];
  if (bounded.length === 0 || bounded.some((fact) => narrows(of.fact, fact))) return undefined;
  if (!definitions.some((each) => each.of !== undefined && fits(of.unit, each.of.unit))) return undefined;
  const message = `The limit ${name} bounds ${bounded.join(', ')}; ${of.fact} would not be what is judged.`;
  return { ...told(reference, 'fact-mismatch', message), ...(bounded[0] === undefined ? {} : { nearest: bounded[0] }) };
}

function narrows(fact: string, of: string): boolean {
  const parts = fact.split('.');
  return of.split('.').every((part) => {
    const at = parts.indexOf(part);
    if (at >= 0) parts.splice(0, at + 1);
    return at >= 0;
  });
}

/** Limits of one name form one ladder: they must bound the same kind of value. */
function unlike(first: Reference | undefined, other: Reference): Diagnostic[] {
  if (first?.of === undefined || other.of === undefined || fits(first.of.unit, other.of.unit)) return [];
  const message = `The limit ${other.name} is of ${first.of.fact} in ${first.at.file}, in ${unitOf(first.of)}; ${other.of.fact} is in ${unitOf(other.of)}.`;
  return [told(other, 'unit-mismatch', message)];
}

const unitOf = (of: { unit: string | undefined }) => of.unit ?? 'whole numbers';

/** A pack for a place that nobody lists is never in force. A name of the office's own is fine, unless it is a slip. */
function mistakenPlaces(reads: readonly PackRead[]): Diagnostic[] {
  const places = byName(reads, 'jurisdiction');
  return [...places].flatMap(([name, at]) => {
    const others = new Set([...places.keys()].filter((each) => each !== name));
    const near = mistaken(name, others)?.nearest;
    // With two packs for it, it is no slip; the slip is told where it stands alone.
    if (near === undefined || !others.has(near) || at.length > 1) return [];
    const message = `No other pack is for "${name}", which is no place in ISO 3166. Did you mean ${near}?`;
    return at.map((each): Diagnostic => ({
      ...each.at,
      code: 'unknown-jurisdiction',
      severity: 'warning',
      message,
      nearest: near,
    }));
  });
}

/** Rules of one cause share a card: one letter wrong, and they are apart without a word. */
function lonelyCauses(reads: readonly PackRead[]): Diagnostic[] {
  const causes = byName(reads, 'cause');
  return [...causes].flatMap(([name, [only, ...others]]) => {
    const near = nearest(
      name,
      [...causes.keys()].filter((each) => each !== name),
    );
    if (only === undefined || others.length > 0 || near === undefined) return [];
    const message = `No other rule has the cause "${name}". Did you mean ${near}?`;
    return [{ ...only.at, code: 'cause-alone', severity: 'warning', message, nearest: near }];
  });
}

/** Versions of a pack take turns: two of one id that are in force together would judge everything twice. */
function samePacks(reads: readonly PackRead[]): Diagnostic[] {
  const seen: { pack: Pack; file: string }[] = [];
  return reads.flatMap(({ pack, file }) => {
    if (pack === undefined) return [];
    const other = seen.find((each) => each.pack.id === pack.id && together(each.pack, pack));
    seen.push({ pack, file });
    if (other === undefined) return [];
    const message = `The pack ${pack.id} is also in ${other.file}, version ${other.pack.version}, in force at the same time; give one a to before the other's from.`;
    return [{ file, line: 1, column: 1, code: 'duplicate-id', severity: 'error', message, path: '/pack' } as const];
  });
}

const together = (a: Pack, b: Pack) => (a.from ?? '') <= (b.to ?? '9999') && (b.from ?? '') <= (a.to ?? '9999');

function told(reference: Reference, code: FaultCode, message: string): Diagnostic {
  return { ...reference.at, code, severity: 'error', message };
}
