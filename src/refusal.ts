/**
 * Why a calculation gives no answer. The functions of `radiography/` and `statistics/` return one instead of
 * NaN, an infinity or a value clamped in silence; they do not throw, because the fold calls them.
 */
export interface Refusal {
  /** What stands in the way, in one word per idea, stable: `outside-chart`, `not-positive`, `too-few`. */
  readonly refused: string;
  /** The argument that is to blame, by its name in the call: `temperature`, `densities[3]`. */
  readonly of: string;
  /** A sentence for a person: what was wrong and what is allowed. */
  readonly because: string;
}

/** A result, or the reason why there is none. */
export type Answer<T> = T | Refusal;

export const refuse = (refused: string, of: string, because: string): Refusal => ({ refused, of, because });

export const isRefusal = (answer: unknown): answer is Refusal =>
  typeof answer === 'object' && answer !== null && 'refused' in answer && 'because' in answer;
