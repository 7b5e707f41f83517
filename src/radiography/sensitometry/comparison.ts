import { middleStep } from './steps.js';

/** How a strip read by densitometer stands to its reference film: differences in density, darker above 0. */
export interface DensityDifference {
  /** Of the middle step. */
  readonly density: number;
  readonly baseFog: number;
  /** Of the density between the two steps chosen on the reference film; absent where it has no such two. */
  readonly contrast?: number;
}

/** @param strip @param reference densities, base plus fog first; as many on both */
export function densityDifference(
  strip: readonly number[],
  reference: readonly number[],
): DensityDifference | undefined {
  const middle = middleStep(reference);
  const [value, aim, fog, least] = [strip[middle], reference[middle], strip[0], reference[0]];
  if (value === undefined || aim === undefined || fog === undefined || least === undefined) return undefined;
  const steps = contrastSteps(reference);
  const contrast = steps === undefined ? undefined : contrastIndex(strip, steps) - contrastIndex(reference, steps);
  return { density: value - aim, baseFog: fog - least, ...(contrast === undefined ? {} : { contrast }) };
}

/**
 * Densities between which contrast is told: from a dealer's procedure for general radiography, borrowed,
 * http://www.hrsimon.com/generalqc.html
 */
const span = { low: 0.45, high: 2.2 };

/** The step nearest but not below 0.45 and the one nearest but not above 2.20; none where they are not two. */
export function contrastSteps(reference: readonly number[]): readonly [low: number, high: number] | undefined {
  const steps = reference.map((density, step) => ({ density, step })).slice(1);
  const low = steps.filter(({ density }) => density >= span.low - 1e-9).sort((a, b) => a.density - b.density)[0];
  const high = steps.filter(({ density }) => density <= span.high + 1e-9).sort((a, b) => b.density - a.density)[0];
  return low === undefined || high === undefined || low.density >= high.density ? undefined : [low.step, high.step];
}

/** Contrast index: density between the two steps. */
export const contrastIndex = (densities: readonly number[], [low, high]: readonly [number, number]): number =>
  (densities[high] ?? NaN) - (densities[low] ?? NaN);

/**
 * What a strip can be blamed for. Strips exposed together beforehand differ by their processing alone; one exposed
 * today tests unit and processing together, and does not tell which.
 */
export function tellsOf({ batch }: { readonly batch?: string | undefined }): 'processing' | 'unitAndProcessing' {
  return batch === undefined ? 'unitAndProcessing' : 'processing';
}
