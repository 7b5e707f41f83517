import tQuantile from '@stdlib/stats-base-dists-t-quantile';
import { refuse, type Answer } from '../refusal.js';
import { mean, outside, unfit } from './input.js';

/** A reading at a time; times in any one unit, here days. */
export interface Reading {
  readonly time: number;
  readonly value: number;
}

/** A straight line through readings by least squares. Slope in units of the value per unit of time. */
export interface Drift {
  readonly slope: number;
  /** Ends of the interval of the slope at the level asked for. */
  readonly slopeLow: number;
  readonly slopeHigh: number;
  /** Whether the interval holds no slope of 0: the drift can be told from none. */
  readonly isTold: boolean;
  /** The line goes through this point, the middle of the readings. */
  readonly middle: Reading;
  /** Standard deviation about the line. */
  readonly scatter: number;
  readonly count: number;
  /** Sum of the squared distances of the times from their mean. */
  readonly span: number;
  /** Deviate of Student's t at the level, two-sided. */
  readonly deviate: number;
}

export interface DriftOptions {
  /** Of the intervals; 0.95 where left out. */
  readonly level?: number;
  /** The scatter is taken as no less: readings that lie on a line by chance are not that exact. */
  readonly leastScatter?: number;
}

/** Readings without which a line is no more than a guess. */
export const fewestForDrift = 5;

/**
 * Drift of a measure by a least-squares line, with Student's interval of its slope.
 * @param readings at least five, at times that are not all one
 */
export function drift(
  readings: readonly Reading[],
  { level = 0.95, leastScatter = 0 }: DriftOptions = {},
): Answer<Drift> {
  const [times, values] = [readings.map(({ time }) => time), readings.map(({ value }) => value)];
  const wrong =
    unfit(values, 'values', fewestForDrift) ??
    unfit(times, 'times', fewestForDrift) ??
    outside(level, 'level', 0.01, 0.9999) ??
    outside(leastScatter, 'leastScatter', 0, 1e100);
  if (wrong !== undefined) return wrong;
  const middle = { time: mean(times), value: mean(values) };
  const away = times.map((time) => time - middle.time);
  const span = away.reduce((sum, each) => sum + each * each, 0);
  const count = readings.length;
  if (!(span > 1e-12 * count * Math.max(1, middle.time * middle.time)))
    return refuse('one-time', 'times', 'The readings are of one and the same time: no drift shows in them.');
  const slope = away.reduce((sum, each, index) => sum + each * ((values[index] ?? 0) - middle.value), 0) / span;
  const squares = values.reduce(
    (sum, value, index) => sum + (value - middle.value - slope * (away[index] ?? 0)) ** 2,
    0,
  );
  const scatter = Math.max(leastScatter, Math.sqrt(squares / (count - 2)));
  const deviate = tQuantile((1 + level) / 2, count - 2);
  const reach = (deviate * scatter) / Math.sqrt(span);
  const [slopeLow, slopeHigh] = [slope - reach, slope + reach];
  return { slope, slopeLow, slopeHigh, isTold: slopeLow > 0 || slopeHigh < 0, middle, scatter, count, span, deviate };
}

/** Times, in the unit of the readings. */
export interface Crossing {
  readonly time: number;
  readonly earliest: number;
  readonly latest: number;
}

/**
 * When the line of a drift reaches a limit, with Fieller's interval: the times at which the limit lies within the
 * interval of the line's mean.
 *
 * @param now before which no crossing is foreseen
 * @returns a refusal where the drift cannot be told from none, leads away from the limit, or is beyond it by now
 */
export function crossing(line: Drift, limit: number, now: number): Answer<Crossing> {
  const wrong = unfit([limit], 'limit', 1) ?? unfit([now], 'now', 1);
  if (wrong !== undefined) return wrong;
  const { slope, middle, scatter, count, span, deviate } = line;
  if (!line.isTold)
    return refuse(
      'no-drift',
      'slope',
      'The readings do not drift so that it can be told from none: no crossing is foreseen.',
    );
  const distance = limit - middle.value;
  const time = middle.time + distance / slope;
  if (time <= now) {
    const isAway = (limit - (middle.value + slope * (now - middle.time))) * slope < 0 && distance * slope <= 0;
    return isAway
      ? refuse('leads-away', 'limit', 'The drift leads away from this limit: no crossing is foreseen.')
      : refuse('beyond', 'limit', 'The line of the drift is at this limit or beyond it by now.');
  }
  // (slope u - distance)^2 = (deviate scatter)^2 (1 / count + u^2 / span), for the time u from the middle.
  const square = (deviate * scatter) ** 2;
  const lead = slope * slope - square / span;
  const root = Math.sqrt((square / span) * distance * distance + (lead * square) / count);
  const ends = [(slope * distance - root) / lead, (slope * distance + root) / lead].map((each) => middle.time + each);
  return { time, earliest: Math.max(now, Math.min(...ends, time)), latest: Math.max(...ends, time) };
}
