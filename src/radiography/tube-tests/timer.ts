import type { Answer } from '../../refusal.js';
import { mean } from '../../statistics/input.js';
import { notAbove0, notAllAbove0 } from '../input.js';

export interface TimerTest {
  readonly mean: number;
  /** Mean against the setting, percent; above 0 it runs long. */
  readonly error: number;
  /** The worst single reading against the setting, percent, with its sign. */
  readonly worst: number;
}

/** What a timer gives against what was set. @param set @param measured in one unit: s, or pulses of the mains */
export function timerTest(set: number, measured: readonly number[]): Answer<TimerTest> {
  const wrong = notAbove0({ set }) ?? notAllAbove0(measured, 'measured', 1);
  if (wrong !== undefined) return wrong;
  const percent = (value: number) => 100 * (value / set - 1);
  const errors = measured.map(percent);
  const worst = errors.reduce((far, each) => (Math.abs(each) > Math.abs(far) ? each : far), 0);
  return { mean: mean(measured), error: percent(mean(measured)), worst };
}
