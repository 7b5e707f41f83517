import type { EventData } from '../events/catalogue.js';
import { densityDifference, type DensityDifference } from '../radiography/sensitometry/comparison.js';
import { isRefusal } from '../refusal.js';
import { crossedOver, shiftOf } from '../statistics/shift.js';
import type { LineState } from './state.js';

type Strip = EventData['stepwedge.read'];

/**
 * The densities of a strip that can be held against the reference film of its line: of the same film, lot and number
 * of steps. A strip of another lot says nothing until the lots were crossed over.
 */
export function comparable(line: LineState | undefined, strip: Strip): readonly number[] | undefined {
  const reference = line?.reference;
  if (strip.densities === undefined || reference === undefined) return undefined;
  const isOther = (a: string | undefined, b: string | undefined) => a !== undefined && b !== undefined && a !== b;
  if (isOther(strip.reference, reference.id) || isOther(strip.lot, reference.lot)) return undefined;
  return strip.densities.length === reference.densities.length ? strip.densities : undefined;
}

/** How a strip stands to the reference film of its line, in densities; undefined where they cannot be compared. */
export function densitiesFromReference(line: LineState | undefined, strip: Strip): DensityDifference | undefined {
  const densities = comparable(line, strip);
  const reference = line?.reference?.densities;
  return densities === undefined || reference === undefined ? undefined : densityDifference(densities, reference);
}

/**
 * A fresh lot of film is crossed over: once five strips of it have been read, the aim shifts by the difference between
 * their mean and that of the last five of the old lot, step by step (law L16). Until then its strips are not held
 * against the reference film.
 */
export function crossOver(line: LineState, { lot, densities, reference: named }: Strip): void {
  const reference = line.reference;
  if (densities === undefined || reference === undefined || densities.length !== reference.densities.length) return;
  if (named !== undefined && reference.id !== undefined && named !== reference.id) return;
  if (lot === undefined || reference.lot === undefined || lot === reference.lot) {
    line.strips = [...(line.strips ?? []), [...densities]].slice(-crossedOver);
    delete line.fresh;
    return;
  }
  const fresh = line.fresh?.lot === lot ? line.fresh.strips : [];
  const strips = [...fresh, [...densities]];
  line.fresh = { lot, strips };
  const old = line.strips ?? [];
  if (strips.length < crossedOver || old.length < crossedOver) {
    line.fresh.strips = strips.slice(-crossedOver);
    return;
  }
  const shifts = reference.densities.map((_, step) => shiftOf(ofStep(old, step), ofStep(strips, step)));
  const shifted = reference.densities.map((aim, step) => {
    const by = shifts[step];
    return by === undefined || isRefusal(by) ? aim : aim + by.shift;
  });
  line.reference = { ...reference, lot, densities: shifted };
  line.strips = strips;
  delete line.fresh;
}

const ofStep = (strips: readonly (readonly number[])[], step: number) => strips.map((strip) => strip[step] ?? 0);
