import type { Moment } from '../moment.js';
import type { FactReader } from './reader.js';

const trend =
  (of: keyof NonNullable<Moment['trend']>): FactReader =>
  (moment) =>
    moment.trend?.[of];
const rate =
  (of: keyof NonNullable<Moment['rate']>): FactReader =>
  (moment) =>
    moment.rate?.[of];

export const followedFacts: Record<string, FactReader> = {
  'trend.readings': trend('readings'),
  'trend.signals': trend('signals'),
  'trend.deviation': trend('deviation'),
  'trend.smoothed': trend('smoothed'),
  'trend.direction': trend('direction'),
  'trend.crosses': trend('crosses'),
  'trend.crossing': trend('crossing'),
  'trend.earliest': trend('earliest'),
  'trend.latest': trend('latest'),
  'rate.films': rate('films'),
  'rate.exposures': rate('exposures'),
  'rate.share': rate('share'),
  'rate.low': rate('low'),
  'rate.high': rate('high'),
  'rate.expected': rate('expected'),
  'rate.chance': rate('chance'),
  'rate.apart': rate('apart'),
};
