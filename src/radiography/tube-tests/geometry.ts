import { atLeast, atMost } from '../../events/units.js';
import type { Answer } from '../../refusal.js';
import { notAbove0 } from '../input.js';

/**
 * What codes ask of the distance from source to skin and of the field at it, in mm. Read as text:
 * - `us-or`: OAR 333-106-0325(1)-(2): at least 18 cm; a circle of 7 cm at 18 cm and more, of 6 cm at less (the second
 *   is printed beside the first, odd as it is);
 * - `us-wa`: WAC 246-225A-080: at least 18 cm, a circle of 7 cm;
 * - `us-ma`: 105 CMR 120.407(B)(1): at least 18 cm where the unit can run above 50 kV, else 10 cm; its field was not read.
 */
const rules = {
  'us-or': { distance: () => 180, field: (distance: number) => (atLeast(distance, 180) ? 70 : 60) },
  'us-wa': { distance: () => 180, field: () => 70 },
  'us-ma': { distance: (highest: number) => (atMost(highest, 50) ? 100 : 180), field: () => undefined },
} as const satisfies Record<
  string,
  { distance: (highestVoltage: number) => number; field: (distance: number) => number | undefined }
>;

export type GeometryRule = keyof typeof rules;
export const geometryRules = Object.keys(rules) as readonly GeometryRule[];

export interface Geometry {
  /** mm from the focal spot to the end of the cone. */
  readonly distance: number;
  /** Diameter of the field there, mm; of a rectangle its diagonal. */
  readonly field: number;
  /** The highest voltage at which the unit can run, kV. */
  readonly highestVoltage: number;
}
export interface GeometryVerdict {
  readonly leastDistance: number;
  readonly isFarEnough: boolean;
  /** Both absent where the code's rule on the field was not read. */
  readonly largestField?: number;
  readonly isWithinField?: boolean;
}

/** How a unit's distance and field stand to one code; at its edge a rule is met. */
export function judgeGeometry(
  code: GeometryRule,
  { distance, field, highestVoltage }: Geometry,
): Answer<GeometryVerdict> {
  const wrong = notAbove0({ distance, field, highestVoltage });
  if (wrong !== undefined) return wrong;
  const rule = rules[code];
  const leastDistance = rule.distance(highestVoltage);
  const largestField = rule.field(distance);
  return {
    leastDistance,
    isFarEnough: atLeast(distance, leastDistance),
    ...(largestField === undefined ? {} : { largestField, isWithinField: atMost(field, largestField) }),
  };
}
