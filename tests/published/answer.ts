import { isRefusal, type Answer } from '../../src/refusal.js';

/** The answer; a refusal fails the test by its own words. */
export function answered<T>(answer: Answer<T>): T {
  if (isRefusal(answer)) throw new Error(`${answer.refused} ${answer.of}: ${answer.because}`);
  return answer;
}
