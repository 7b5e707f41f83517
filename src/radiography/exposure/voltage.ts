import { refuse, type Answer, type Refusal } from '../../refusal.js';
import { notAbove0 } from '../input.js';

/**
 * Two rules of thumb for another tube voltage, by their names. They agree on the one step up from 100 kV, beyond the
 * voltages they are told for here: at 70 kV fifteen percent are 10.5 kV. Both are common practice from textbooks of general and dental radiography; neither was read in a source that
 * could be cited, so neither is a check.
 * - `15-kVp`: 15 kV more halves the time, 15 kV less doubles it;
 * - `15-percent`: 15 % more halves the time, a step back (division by 1.15) doubles it.
 */
export const voltageRules = ['15-kVp', '15-percent'] as const;
export type VoltageRule = (typeof voltageRules)[number];

/** Voltages of intraoral film units; beyond them neither rule is told of. Our choice. */
export const voltageSpan = { from: 50, to: 100 } as const;

/**
 * Factor of the time (or mA s) for another voltage, by one named rule.
 *
 * @param from kV @param to kV
 */
export function voltageFactor(rule: VoltageRule, from: number, to: number): Answer<number> {
  const wrong = notAbove0({ from, to }) ?? beyond('from', from) ?? beyond('to', to);
  if (wrong !== undefined) return wrong;
  const steps = rule === '15-kVp' ? (to - from) / 15 : Math.log(to / from) / Math.log(1.15);
  return 2 ** -steps;
}

function beyond(of: string, kV: number): Refusal | undefined {
  const { from, to } = voltageSpan;
  if (kV >= from && kV <= to) return undefined;
  return refuse('out-of-range', of, `${kV} kV is outside ${from} to ${to} kV, for which the rules of thumb are told.`);
}
