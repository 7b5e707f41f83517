import type { EventData } from '../events/catalogue.js';
import { isRefusal } from '../refusal.js';
import { crossedOver, shiftOf } from '../statistics/shift.js';
import type { LineState } from './state.js';

type Strip = EventData['stepwedge.read'];

/** How a strip read by densitometer stands to its reference film: differences in density, darker above 0. */
export interface DensityDifference {
  readonly density: number;
  readonly baseFog: number;
  readonly contrast?: number;
}

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

export function densityDifference(line: LineState | undefined, strip: Strip): DensityDifference | undefined {
  const densities = comparable(line, strip);
  const reference = line?.reference?.densities;
  if (densities === undefined || reference === undefined) return undefined;
  const middle = Math.ceil((reference.length - 1) / 2);
  const [value, aim, fog, least] = [densities[middle], reference[middle], densities[0], reference[0]];
  if (value === undefined || aim === undefined || fog === undefined || least === undefined) return undefined;
  const steps = contrastSteps(reference);
  const contrast = steps === undefined ? undefined : between(densities, steps) - between(reference, steps);
  return { density: value - aim, baseFog: fog - least, ...(contrast === undefined ? {} : { contrast }) };
}

/** Densities of the reference film between which contrast is told: a shop's procedure for general films, borrowed. */
const span = { low: 0.45, high: 2.2 };

/** The step nearest but not below 0.45 and the one nearest but not above 2.20; none where they are not two. */
function contrastSteps(reference: readonly number[]): readonly [number, number] | undefined {
  const steps = reference.map((density, step) => ({ density, step })).slice(1);
  const low = steps.filter(({ density }) => density >= span.low - 1e-9).sort((a, b) => a.density - b.density)[0];
  const high = steps.filter(({ density }) => density <= span.high + 1e-9).sort((a, b) => b.density - a.density)[0];
  return low === undefined || high === undefined || low.density >= high.density ? undefined : [low.step, high.step];
}

const between = (densities: readonly number[], [low, high]: readonly [number, number]) =>
  (densities[high] ?? NaN) - (densities[low] ?? NaN);

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
