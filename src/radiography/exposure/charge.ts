import { refuse, type Answer } from '../../refusal.js';
import { notAbove0 } from '../input.js';

/**
 * Reciprocity: current times time is what counts. 100 mA for 0.2 s is 20 mA s, as is 200 mA for 0.1 s.
 * Source: https://api.brainscape.com/flashcards/chapter-11-16487855/packs/21764393
 *
 * @param current mA @param time s @returns mA s
 */
export function charge(current: number, time: number): Answer<number> {
  return notAbove0({ current, time }) ?? current * time;
}

/** The time that gives a charge at a current. @param charge mA s @param current mA @returns s */
export function timeOfCharge(charge: number, current: number): Answer<number> {
  return notAbove0({ charge, current }) ?? charge / current;
}

export const mainsFrequencies = [50, 60] as const;
export type MainsFrequency = (typeof mainsFrequencies)[number];

/**
 * Impulses of a self-rectified unit: one a period of the mains, 60 (or 50) a second. A unit of constant potential has
 * none, and one rectified on both half-waves has two a period. Arithmetic; which kind a unit is, its manual says.
 *
 * @returns s
 */
export function secondsOfPulses(pulses: number, mains: MainsFrequency, perPeriod: 1 | 2 = 1): Answer<number> {
  return notAbove0({ pulses }) ?? pulses / (mains * perPeriod);
}

/** The nearest whole number of impulses to a time, and how much exposure it gives against the time asked, percent. */
export function pulsesOfSeconds(
  time: number,
  mains: MainsFrequency,
  perPeriod: 1 | 2 = 1,
): Answer<{ readonly pulses: number; readonly off: number }> {
  const wrong = notAbove0({ time });
  if (wrong !== undefined) return wrong;
  const exact = time * mains * perPeriod;
  const pulses = Math.round(exact);
  if (pulses < 1) return refuse('out-of-reach', 'time', `${time} s is less than half an impulse.`);
  if (pulses > 1e6) return refuse('out-of-reach', 'time', `${time} s is no exposure time.`);
  return { pulses, off: 100 * (pulses / exact - 1) };
}
