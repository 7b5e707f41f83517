import { refuse, type Answer } from '../../refusal.js';
import { notAbove0 } from '../input.js';

/** What every figure here leaves out; it goes with each of them. */
export const leftOut = [
  'an estimate from the output measured on the unit, not a measurement on a patient',
  'backscatter and the thickness of the patient',
  'drift of the unit since its output was measured',
] as const;

/**
 * Incident air kerma at the end of the cone.
 *
 * @param output mGy for each mA s there, measured at this voltage @param charge mA s
 * @returns mGy; an estimate, with what `leftOut` says
 */
export function coneEndKerma(output: number, charge: number): Answer<number> {
  return notAbove0({ output, charge }) ?? output * charge;
}

/** Output at another distance, by the inverse square. @param output mGy for each mA s @param from @param to mm from the target */
export function outputAt(output: number, from: number, to: number): Answer<number> {
  return notAbove0({ output, from, to }) ?? output * (from / to) ** 2;
}

/** A field at the end of the cone, mm. */
export type Field = { readonly diameter: number } | { readonly width: number; readonly height: number };

/** mm2 */
export function fieldArea(field: Field): Answer<number> {
  const area = 'diameter' in field ? (Math.PI * field.diameter ** 2) / 4 : field.width * field.height;
  return notAbove0({ ...field }) ?? area;
}

/**
 * Kerma-area product: incident air kerma times the area of the field at the same place.
 * Source: https://discovery.researcher.life/article/a-conversion-coefficient-from-dose-area-products-to-effective-doses-for-patients-in-intraoral-radiography/cf4a8d0a058934e3a3f60d85d345668d
 *
 * @param kerma mGy @param area mm2 @returns mGy cm2
 */
export function areaProduct(kerma: number, area: number): Answer<number> {
  return notAbove0({ kerma, area }) ?? (kerma * area) / 100;
}

export interface Avoidable {
  /** Sum over all exposures, and over those that repeat another; in the unit of what was given. */
  readonly total: number;
  readonly avoidable: number;
  /** Percent of the total. */
  readonly share: number;
}

/** The part of an amount (kerma, area product) that went into retakes: it would not have been given had the first film served. */
export function avoidable(
  exposures: readonly { readonly amount: number; readonly isRetake: boolean }[],
): Answer<Avoidable> {
  if (exposures.length === 0) return refuse('too-few', 'exposures', 'There are no exposures.');
  const wrong = notAbove0(Object.fromEntries(exposures.map(({ amount }, index) => [`exposures[${index}]`, amount])));
  if (wrong !== undefined) return wrong;
  const sum = (of: typeof exposures) => of.reduce((all, { amount }) => all + amount, 0);
  const total = sum(exposures);
  const again = sum(exposures.filter(({ isRetake }) => isRetake));
  return { total, avoidable: again, share: 100 * (again / total) };
}
