import { atLeast, atMost } from '../../events/units.js';
import { refuse, type Answer } from '../../refusal.js';
import { notAbove0 } from '../input.js';

export const speedGroups = ['C', 'D', 'E', 'F'] as const;
export type SpeedGroup = (typeof speedGroups)[number];

/**
 * Bands of the ISO speed of dental film. Source: http://www.priory.com/den/films.htm, which prints 7-14, 14-28, 28-56,
 * 56-112 and places a speed of 55 in E, one of 57 in F. A value on an edge is printed in both bands: here it goes up, so
 * that a film is never taken for slower, and more exposed, than it is.
 */
const bands: Readonly<Record<SpeedGroup, { readonly from: number; readonly to: number }>> = {
  C: { from: 7, to: 14 },
  D: { from: 14, to: 28 },
  E: { from: 28, to: 56 },
  F: { from: 56, to: 112 },
};

export const bandOf = (group: SpeedGroup) => bands[group];

/**
 * ISO speed from the air kerma that gives a net density of 1.00: S = 0.01 / Ks with Ks in gray.
 *
 * @param kerma mGy
 */
export function isoSpeed(kerma: number): Answer<number> {
  return notAbove0({ kerma }) ?? 10 / kerma;
}

/** The air kerma, mGy, that a film of an ISO speed needs for a net density of 1.00. */
export function kermaOfSpeed(speed: number): Answer<number> {
  return notAbove0({ speed }) ?? 10 / speed;
}

/** The group of an ISO speed; from 7 to 112, both included. */
export function speedGroup(speed: number): Answer<SpeedGroup> {
  const group = [...speedGroups].reverse().find((each) => atLeast(speed, bands[each].from));
  if (group !== undefined && atMost(speed, bands.F.to)) return group;
  return refuse('outside-bands', 'speed', `The groups C to F run from 7 to 112; ${speed} is outside.`);
}
