import { levenbergMarquardt } from 'ml-levenberg-marquardt';
import { refuse, type Answer } from '../../refusal.js';
import { notAllAbove0 } from '../input.js';
import { unreadable } from './density.js';

/** A step: exposure in any one unit (mGy, mA s, or relative), and its density. */
export interface Step {
  readonly exposure: number;
  readonly density: number;
}

/**
 * The characteristic curve of a film and its processing: net density over the logarithm (base 10) of exposure,
 * `net = most / (1 + 10 ^ (-steepness (x - middle)))`. For film that x-rays expose directly the steepness is about 1.
 */
export interface Curve {
  readonly baseFog: number;
  /** Net density that it nears at the top; where the strip ends early, hardly known. */
  readonly most: number;
  /** Logarithm of the exposure at half of it. */
  readonly middle: number;
  readonly steepness: number;
  /** Root mean square of what the steps differ from it, in density. */
  readonly residual: number;
  /** Net densities of the lightest and darkest step: between them it may be read, and nowhere else. */
  readonly from: number;
  readonly to: number;
}

/** Three unknowns, and two steps more. */
export const fewestSteps = 5;
/** Net densities over which steps must spread, or the wedge is flat; and the most that the curve may miss them by. Our choice. */
const leastSpan = 0.3;
const worstResidual = 0.1;
/** A step may be read this much lighter than the one before it. */
const readingError = 0.05;

/**
 * Fit the curve by least squares.
 *
 * @param baseFog density of an unexposed, developed part
 * @param steps in order of exposure, rising
 */
export function fitCurve(baseFog: number, steps: readonly Step[]): Answer<Curve> {
  const exposures = steps.map(({ exposure }) => exposure);
  const densities = steps.map(({ density }) => density);
  const wrong =
    notAllAbove0(exposures, 'exposure', fewestSteps) ??
    unreadable([baseFog], 'baseFog', 1) ??
    unreadable(densities, 'density', fewestSteps);
  if (wrong !== undefined) return wrong;
  const early = exposures.findIndex((exposure, index) => index > 0 && !(exposure > (exposures[index - 1] ?? 0)));
  if (early >= 0)
    return refuse('not-rising', `exposure[${early}]`, `Step ${early + 1} has no more exposure than the one before it.`);
  const lighter = densities.findIndex((density, at) => at > 0 && density < (densities[at - 1] ?? 0) - readingError);
  if (lighter >= 0)
    return refuse(
      'not-rising',
      `density[${lighter}]`,
      `Step ${lighter + 1} is lighter than the one with less exposure.`,
    );
  const net = densities.map((density) => density - baseFog);
  const [from, to] = [Math.min(...net), Math.max(...net)];
  if (to - from < leastSpan)
    return refuse(
      'flat',
      'density',
      `The steps spread over ${(to - from).toFixed(2)} in density: too flat for a curve.`,
    );
  if (to < leastSpan)
    return refuse(
      'flat',
      'density',
      'No step is darker than base plus fog by enough; is base plus fog that of this strip?',
    );
  const x = exposures.map((exposure) => Math.log10(exposure));
  const fitted = fit(x, net, to);
  if (fitted === undefined) return noFit;
  const residual = Math.sqrt(
    x.reduce((sum, each, index) => sum + (netAt(fitted, each) - (net[index] ?? 0)) ** 2, 0) / x.length,
  );
  if (!(residual <= worstResidual)) return noFit;
  return { baseFog, ...fitted, residual, from, to };
}

const noFit = refuse('no-fit', 'density', 'No characteristic curve passes near these steps; read the strip again.');

type Shape = Pick<Curve, 'most' | 'middle' | 'steepness'>;

const netAt = ({ most, middle, steepness }: Shape, x: number) => most / (1 + 10 ** (-steepness * (x - middle)));

/** The best of several starts: a strip that ends early leaves the top open, and one start may stay in a side valley. */
function fit(x: readonly number[], net: readonly number[], to: number): Shape | undefined {
  const shape = ([most = to, middle = 0, steepness = 1]: readonly number[]): Shape => ({ most, middle, steepness });
  const last = x.at(-1) ?? 0;
  const fits = [1.1, 1.6, 2.5].flatMap((over) => {
    const most = over * to;
    // Where the curve of steepness 1 through the darkest step has its middle.
    const start = [most, last + Math.log10(most / to - 1), 1];
    const options = {
      initialValues: start,
      minValues: [0.5 * to, last - 6, 0.2],
      maxValues: [12, last + 4, 8],
      gradientDifference: 1e-4,
      centralDifference: true,
      damping: 0.1,
      maxIterations: 200,
      errorTolerance: 1e-10,
      improvementThreshold: 1e-9,
    };
    try {
      return [
        levenbergMarquardt({ x: [...x], y: [...net] }, (parameters) => (at) => netAt(shape(parameters), at), options),
      ];
    } catch {
      // Where the steps leave its equations without an answer the library throws.
      return [];
    }
  });
  const [best] = fits.sort((one, other) => one.parameterError - other.parameterError);
  return best && shape(best.parameterValues);
}

/**
 * The exposure that gives a net density, in the unit of the steps.
 * @returns a refusal outside the densities that the strip showed
 */
export function exposureFor(curve: Curve, net: number): Answer<number> {
  const { most, middle, steepness, from, to } = curve;
  if (!(net > 0 && net >= from && net <= to && net < most))
    return refuse(
      'outside-strip',
      'net',
      `The strip shows net densities ${Math.max(0, from).toFixed(2)} to ${to.toFixed(2)}; ${net.toFixed(2)} is not among them.`,
    );
  return 10 ** (middle - Math.log10(most / net - 1) / steepness);
}

/**
 * Net densities at which dental film is told: speed at 1.00, average gradient from 0.25 to 2.00. ISO 5799 (its scope was
 * read, these points are from memory; the speed point is also read at http://www.priory.com/den/films.htm).
 */
export const points = { speed: 1, gradient: { from: 0.25, to: 2 } } as const;

/** Exposure at net density 1.00, in the unit of the steps; in mGy it gives the ISO speed (`speed.ts`). */
export function speedPoint(curve: Curve): Answer<number> {
  return exposureFor(curve, points.speed);
}

/** Slope of the straight line between net densities 0.25 and 2.00: density for each tenfold exposure. */
export function averageGradient(curve: Curve): Answer<number> {
  const { from, to } = points.gradient;
  const [low, high] = [exposureFor(curve, from), exposureFor(curve, to)];
  if (typeof low !== 'number') return low;
  if (typeof high !== 'number') return high;
  return (to - from) / Math.log10(high / low);
}
