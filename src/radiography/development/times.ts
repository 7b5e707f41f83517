import { atLeast, atMost } from '../../events/units.js';
import { refuse, type Answer } from '../../refusal.js';
import { notAbove0 } from '../input.js';

/** How a developing time stands to what a chart asks for at the temperature it was read at. */
export interface Standing {
  readonly stands: 'under' | 'on' | 'over';
  /** Seconds from the chart's own time, below 0 for too short: also where the time is still on. */
  readonly off: number;
  /** Percent of the chart's time. */
  readonly offPercent: number;
}

/**
 * Whether a time lies under, on or over. The times that codes print are least ones, so a time below is under whatever the
 * difference; over it is only beyond what the place allows above the chart. At both edges it is on.
 *
 * @param time s @param least time of the chart, s @param most s, where something is said of it; else any longer time is over
 */
export function standingOf(time: number, least: number, most = least): Answer<Standing> {
  const wrong = notAbove0({ time, least, most });
  if (wrong !== undefined) return wrong;
  if (!atLeast(most, least))
    return refuse('out-of-range', 'most', `most is ${most} s, less than the least, ${least} s.`);
  const stands = !atLeast(time, least) ? 'under' : atMost(time, most) ? 'on' : 'over';
  return { stands, off: time - least, offPercent: 100 * (time / least - 1) };
}
