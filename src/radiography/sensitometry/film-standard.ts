import { atMost } from '../../events/units.js';
import type { Answer } from '../../refusal.js';
import { outside } from '../../statistics/input.js';

/**
 * What ISO 3665:2011 asks of intraoral film, read in public extracts of it (https://mandarinseed.com/a/BS/570.html,
 * https://japan-ppt.com/?p=4519): average gradient above 1.50 (5.2.6.3), base plus fog at most 0.25 when made and 0.40 at
 * its date of expiry (5.2.7, 5.2.8). For the film as its maker tests it; an office's strip shows film and bath together.
 */
export const filmStandard = { leastGradient: 1.5, mostFogNew: 0.25, mostFogExpiry: 0.4 } as const;

/** Whether an average gradient is above 1.50: at 1.50 it is not. */
export function isSteepEnough(gradient: number): Answer<boolean> {
  return outside(gradient, 'gradient', 0, 20) ?? !atMost(gradient, filmStandard.leastGradient);
}

/** How base plus fog stands: like new, within what ends its life, or beyond it. */
export function fogState(baseFog: number): Answer<'asNew' | 'aged' | 'expired'> {
  const wrong = outside(baseFog, 'baseFog', 0, 6);
  if (wrong !== undefined) return wrong;
  if (atMost(baseFog, filmStandard.mostFogNew)) return 'asNew';
  return atMost(baseFog, filmStandard.mostFogExpiry) ? 'aged' : 'expired';
}
