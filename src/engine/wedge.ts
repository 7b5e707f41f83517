import type { EventData } from '../events/catalogue.js';
import type { LineState } from './state.js';
import { comparable } from './strip-densities.js';

type Strip = EventData['stepwedge.read'];
export interface StripDifference {
  readonly steps: number;
  readonly direction: 'lighter' | 'darker' | 'same';
}

/** How a strip differs from its reference film: as it was laid beside it, else by the densities of both, if comparable. */
export function stripDifference(line: LineState | undefined, strip: Strip): StripDifference | undefined {
  const seen = strip.difference;
  if (seen !== undefined)
    return { steps: seen.steps, direction: seen.steps === 0 ? 'same' : (seen.direction ?? 'same') };
  const densities = comparable(line, strip);
  const reference = line?.reference?.densities;
  return densities === undefined || reference === undefined ? undefined : byDensities(densities, reference);
}

/**
 * A strip that was laid beside the reference film, did not differ, and was read in densities gives those of the
 * reference. They stay, also at a change of chemistry (law L16), until another reference film is named.
 */
export function rememberReference(line: LineState, { densities, difference, reference, lot }: Strip): void {
  if (densities === undefined || difference?.steps !== 0) return;
  if (line.reference !== undefined && (reference === undefined || reference === line.reference.id)) return;
  line.reference = { id: reference, lot, densities: [...densities] };
}

/**
 * The middle step on the scale of the reference film, to half a step: which of its steps is as dark. Beyond both ends
 * it is one step further than the end. Base plus fog comes first and is no step.
 */
function byDensities(strip: readonly number[], reference: readonly number[]): StripDifference | undefined {
  const middle = Math.ceil((reference.length - 1) / 2);
  const [value, aim] = [strip[middle], reference[middle]];
  if (value === undefined || aim === undefined) return undefined;
  const away = placesOf(value, reference).map((place) => Math.abs(place - middle));
  const steps = Math.round(2 * (away.length > 0 ? Math.min(...away) : endOf(value, reference, middle))) / 2;
  return { steps, direction: steps === 0 ? 'same' : value < aim ? 'lighter' : 'darker' };
}

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
