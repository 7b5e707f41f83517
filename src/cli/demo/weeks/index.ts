import { badWeek } from './bad-week.js';
import { coldTuesday } from './cold-tuesday.js';
import { fading } from './fading.js';
import { hotWeek } from './hot-week.js';
import { rootCanal } from './root-canal.js';
import { holiday, longMonths, shortMonths } from './two-months.js';
import type { ToldWeek } from './week.js';

/** Every told week of the demo, in the order they happen to begin. */
export function toldWeeks(): ToldWeek[] {
  return [shortMonths(), fading(), coldTuesday(), rootCanal(), badWeek(), longMonths(), hotWeek(), holiday()];
}
export type { ToldWeek } from './week.js';
