import type { Answer } from '../../refusal.js';
import { outside } from '../../statistics/input.js';
import { notAbove0 } from '../input.js';

/**
 * Inverse square: the exposure at the film falls with the square of its distance from the target, so the time (or the
 * mA s) grows with it. Doubled from 8 to 16 in: four times.
 * Source: https://danb-radiationhealthandsafetyfourhundredquestions.examzify.com/question/when-the-target-source-film-b83ee879ad427cf2
 *
 * @param from distance from target to film, mm (both in one unit)
 * @returns the factor of time or mA s
 */
export function distanceFactor(from: number, to: number): Answer<number> {
  return notAbove0({ from, to }) ?? (to / from) ** 2;
}

/** A cone, and where the film lies behind it; mm. */
export interface Cone {
  /** From target to the open end. */
  readonly length: number;
  /** From the open end to the film: skin, tissue, holder. */
  readonly behind: number;
}

export interface ConeChange {
  /** By the distances from target to film: the one that counts. */
  readonly factor: number;
  /** By the lengths of the cones alone, as it is often reckoned. */
  readonly byLength: number;
  /** How far the latter is off, percent. */
  readonly off: number;
}

/** mm; a film farther behind its cone is no intraoral film. */
const farthestBehind = 500;

/** A change of cone: the film does not lie at its end, so twice the length is not quite four times the time. */
export function coneChange(from: Cone, to: Cone): Answer<ConeChange> {
  const wrong =
    notAbove0({ 'from.length': from.length, 'to.length': to.length }) ??
    outside(from.behind, 'from.behind', 0, farthestBehind) ??
    outside(to.behind, 'to.behind', 0, farthestBehind);
  if (wrong !== undefined) return wrong;
  const factor = distanceFactor(from.length + from.behind, to.length + to.behind);
  const byLength = distanceFactor(from.length, to.length);
  if (typeof factor !== 'number') return factor;
  if (typeof byLength !== 'number') return byLength;
  return { factor, byLength, off: 100 * (byLength / factor - 1) };
}
