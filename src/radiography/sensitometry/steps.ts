/** How a strip differs from the reference film, told in steps of that film. */
export interface StepDifference {
  readonly steps: number;
  readonly direction: 'lighter' | 'darker' | 'same';
}

/**
 * More steps than these away from the reference film: change the solutions. Common rule of textbooks, from memory; no
 * source of it was read, so packs say it as common practice. It is told of lighter strips; that it holds for darker ones
 * too is ours.
 *
 * Steps only have an order: one step is not the same amount everywhere, so no mean, no run rule and no trend is told
 * from them.
 */
export const mostSteps = 2;

/**
 * The middle step of a strip on the scale of the reference film, to half a step: which of its steps is as dark. Beyond
 * both ends it is one step further than the end.
 *
 * @param strip @param reference densities, base plus fog first, which is no step; as many on both
 */
export function stepDifference(strip: readonly number[], reference: readonly number[]): StepDifference | undefined {
  const middle = middleStep(reference);
  const [value, aim] = [strip[middle], reference[middle]];
  if (value === undefined || aim === undefined || middle === 0) return undefined;
  const away = placesOf(value, reference).map((place) => Math.abs(place - middle));
  const steps = Math.round(2 * (away.length > 0 ? Math.min(...away) : endOf(value, reference, middle))) / 2;
  return { steps, direction: steps === 0 ? 'same' : value < aim ? 'lighter' : 'darker' };
}

/** Index of the middle step: of an even number of steps the lighter of the two. */
export const middleStep = (densities: readonly number[]): number => Math.ceil((densities.length - 1) / 2);

/** Where on the reference film the density lies, in steps. */
function placesOf(value: number, reference: readonly number[]): number[] {
  return reference.slice(1).flatMap((from, index) => {
    const step = index + 1;
    const to = reference[step + 1] ?? from;
    if (from === to) return value === from ? [step] : [];
    const part = (value - from) / (to - from);
    return part >= 0 && part <= 1 ? [step + part] : [];
  });
}

/** One step beyond the end that is nearest in density. */
function endOf(value: number, reference: readonly number[], middle: number): number {
  const last = reference.length - 1;
  const off = (step: number) => Math.abs((reference[step] ?? 0) - value);
  return (off(1) < off(last) ? middle - 1 : last - middle) + 1;
}
