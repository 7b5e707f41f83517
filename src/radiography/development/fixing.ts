import { atLeast } from '../../events/units.js';
import type { Answer } from '../../refusal.js';
import { notAbove0 } from '../input.js';

/** Twice the time an unexposed film takes to clear, and never longer than a quarter of an hour. */
export const fixingRule = {
  timesClearing: 2,
  longest: 900,
  source: {
    text: 'T.O. 33B-1-1 par. 6.7.9',
    url: 'https://chemical-biological.tpub.com/TM-1-1500-335-23/css/TM-1-1500-335-23_584.htm',
  },
} as const;

/** A bath is exhausted when its clearing time has doubled from that of the fresh bath. */
export const exhaustedRule = {
  ratio: 2,
  source: {
    text: 'NAVEDTRA 14209 s. 10',
    url: 'https://photographytraining.tpub.com/14209/css/Life-Of-A-Fixing-Bath-249.htm',
  },
} as const;

export interface FixingTime {
  /** s */
  readonly least: number;
  /** s; film that lies in the fixer longer bleaches. */
  readonly longest: number;
  /** A bath so slow that twice its clearing time is longer than a film may lie in it: it is changed, not waited for. */
  readonly isTooSlow: boolean;
}

/** How long to fix by the clearing time. @param clearing s */
export function fixingTime(clearing: number): Answer<FixingTime> {
  const wrong = notAbove0({ clearing });
  if (wrong !== undefined) return wrong;
  const { timesClearing, longest } = fixingRule;
  const least = timesClearing * clearing;
  return { least, longest, isTooSlow: !atLeast(longest, least) };
}

export interface FixerLife {
  /** Clearing time over that of the fresh bath. */
  readonly ratio: number;
  readonly isExhausted: boolean;
}

/** @param fresh clearing time of the bath when it was new @param latest that of today; in one unit */
export function fixerLife(fresh: number, latest: number): Answer<FixerLife> {
  const wrong = notAbove0({ fresh, latest });
  if (wrong !== undefined) return wrong;
  const ratio = latest / fresh;
  return { ratio, isExhausted: atLeast(ratio, exhaustedRule.ratio) };
}
