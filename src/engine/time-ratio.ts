import { readFact } from './facts/index.js';
import { judge } from './ladder.js';
import type { Moment } from './moment.js';

/** Developing time over the strictest least time of the charts that answer here; limits are read through facts, not facts through limits. */
export function timeRatio(moment: Moment): number | undefined {
  const time = readFact(moment, 'run.developer.time');
  const least = judge(moment, 'development-time-min').flatMap(({ side, bound }) =>
    side === 'min' ? (bound ?? []) : [],
  );
  const strictest = Math.max(...least);
  return typeof time === 'number' && least.length > 0 && strictest > 0 ? time / strictest : undefined;
}
