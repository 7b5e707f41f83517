import { isRefusal, type Answer } from '../../refusal.js';
import { notAbove0 } from '../input.js';
import { charge } from './charge.js';
import { distanceFactor } from './distance.js';
import { voltageFactor, type VoltageRule } from './voltage.js';

/** Technique factors: kV, mA, s; the distance from target to film, mm, where it matters. */
export interface Factors {
  readonly voltage: number;
  readonly current: number;
  readonly time: number;
  readonly distance?: number;
}

/**
 * How much exposure the film got against what was expected: 1 for as much, 2 for twice. The voltage is reckoned with by
 * one named rule where it differs, the distance by the inverse square where both are given.
 */
export function exposureRatio(given: Factors, expected: Factors, rule: VoltageRule): Answer<number> {
  const [own, aim] = [charge(given.current, given.time), charge(expected.current, expected.time)];
  if (isRefusal(own)) return own;
  if (isRefusal(aim)) return aim;
  const wrong = notAbove0({ voltage: given.voltage, 'expected voltage': expected.voltage });
  if (wrong !== undefined) return wrong;
  const voltage = given.voltage === expected.voltage ? 1 : voltageFactor(rule, expected.voltage, given.voltage);
  if (isRefusal(voltage)) return voltage;
  const known = given.distance !== undefined && expected.distance !== undefined;
  const distance = known ? distanceFactor(expected.distance, given.distance) : 1;
  if (isRefusal(distance)) return distance;
  // A factor is of the time that gives the same film: who needs half the time and gave the whole gave twice.
  return own / aim / voltage / distance;
}
