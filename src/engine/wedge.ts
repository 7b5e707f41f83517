import type { EventData } from '../events/catalogue.js';
import { stepDifference, type StepDifference } from '../radiography/sensitometry/steps.js';
import type { LineState } from './state.js';
import { comparable } from './strip-densities.js';

type Strip = EventData['stepwedge.read'];

/** How a strip differs from its reference film: as it was laid beside it, else by the densities of both, if comparable. */
export function stripDifference(line: LineState | undefined, strip: Strip): StepDifference | undefined {
  const seen = strip.difference;
  if (seen !== undefined)
    return { steps: seen.steps, direction: seen.steps === 0 ? 'same' : (seen.direction ?? 'same') };
  const densities = comparable(line, strip);
  const reference = line?.reference?.densities;
  return densities === undefined || reference === undefined ? undefined : stepDifference(densities, reference);
}

/**
 * A strip that was laid beside the reference film, did not differ, and was read in densities gives those of the
 * reference. They stay, also at a change of chemistry (law L16), until another reference film is named.
 */
export function rememberReference(
  line: LineState,
  { densities, difference, reference, lot }: Strip,
  temperature: number | undefined,
): void {
  if (densities === undefined || difference?.steps !== 0) return;
  if (line.reference !== undefined && (reference === undefined || reference === line.reference.id)) return;
  line.reference = { id: reference, lot, densities: [...densities], ...(temperature !== undefined && { temperature }) };
}
