import { refuse, type Answer } from '../../refusal.js';
import { outside, unfit } from '../../statistics/input.js';
import { notAbove0 } from '../input.js';

/** Densities that film and a densitometer can show; the same as events take. */
const span = { from: 0, to: 6 };

/** Why a strip cannot be read: densities out of reach, or fewer than so many. */
export function unreadable(densities: readonly number[], of: string, atLeast: number) {
  const wrong = unfit(densities, of, atLeast);
  if (wrong !== undefined) return wrong;
  const odd = densities.findIndex((density) => density < span.from || density > span.to);
  return odd < 0 ? undefined : outside(densities[odd] ?? NaN, `${of}[${odd}]`, span.from, span.to);
}

/**
 * Optical density from the light that falls on a film and what comes through: log10(I0 / I). A tenth is 1, a hundredth 2.
 * Source: T.O. 33B-1-1 par. 6.4.1.4, https://chemical-biological.tpub.com/TM-1-1500-335-23/css/TM-1-1500-335-23_533.htm
 *
 * @param incident @param transmitted in any one unit
 */
export function opticalDensity(incident: number, transmitted: number): Answer<number> {
  const wrong = notAbove0({ incident, transmitted });
  if (wrong !== undefined) return wrong;
  if (transmitted > incident)
    return refuse('out-of-range', 'transmitted', 'More light cannot come through than falls on the film.');
  return Math.log10(incident / transmitted) + 0;
}

/**
 * Densities of the steps over base plus fog. A step a little lighter than base plus fog is an error of reading and comes
 * out below 0, as it was read.
 *
 * @param densities base plus fog first, then the steps
 */
export function netDensities(densities: readonly number[]): Answer<readonly number[]> {
  const wrong = unreadable(densities, 'densities', 2);
  if (wrong !== undefined) return wrong;
  const [fog = 0, ...steps] = densities;
  return steps.map((density) => density - fog);
}

/**
 * Fog of a pre-exposed film half covered under the safelight: what the light added to the open half. A film of some
 * density shows it better than a clear one; the rule of the place says how dark it is to be, for how long, and how much
 * may be added (Minnesota: pre-exposed to about 1.0, two minutes,
 * http://www.health.state.mn.us/divs/eh/radiation/xray/darkfogdental.html).
 *
 * @param covered density of the covered half @param open that of the open one
 * @returns density added; below 0 where the open half was read as the lighter one, which is reading error or a mix-up
 */
export function fogAdded(covered: number, open: number): Answer<number> {
  return unreadable([covered], 'covered', 1) ?? unreadable([open], 'open', 1) ?? open - covered;
}
