import { atMost } from '../../events/units.js';
import type { Answer } from '../../refusal.js';
import { notAbove0 } from '../input.js';

export interface Linearity {
  /** |X1 - X2| over X1 + X2: 0 where both settings give as much for each mA s. */
  readonly difference: number;
  readonly isWithinTenth: boolean;
}

/**
 * Whether two neighbouring settings of current or time give the same output for each mA s.
 * The tenth is from memory of 21 CFR 1020.31(c), whose paragraph was not read: it is no check by itself.
 *
 * @param first mean output of one setting, mGy for each mA s (or in any one unit)
 * @param second that of the next
 */
export function linearity(first: number, second: number): Answer<Linearity> {
  const wrong = notAbove0({ first, second });
  if (wrong !== undefined) return wrong;
  const difference = Math.abs(first - second) / (first + second);
  return { difference, isWithinTenth: atMost(difference, 0.1) };
}
