import type { Evaluation, Probe } from '../engine/checks.js';
import type { Finding, Verdict } from '../engine/finding.js';
import type { PackBook } from '../packs/book.js';
import { trace } from '../packs/conditions/trace.js';
import type { Condition } from '../packs/model.js';

/** How a second evaluator saw a condition: whether it held, and the annotated tree. */
export interface TraceOutcome {
  readonly tree: unknown;
  readonly agree: boolean;
}

export type Evaluate = (
  condition: Condition,
  snapshot: Readonly<Record<string, unknown>>,
) => Promise<{ readonly fired: unknown; readonly tree: unknown }>;

/** One event in so many has its silent evaluations compared as well. */
const sample = 1000;
/** Silent evaluations kept until they are compared. */
const mostKept = 200;

/**
 * Explains new findings of checks: json-rules-engine evaluates the rule's condition once more on the facts that the fold
 * read, and its result tree is kept. The fold's answer stands even if the two disagree; that is counted, logged, and in
 * strict mode (tests) thrown. Of the conditions that did not hold a sample is compared, unstored.
 */
export class Traces {
  readonly counters = { compared: 0, disagreed: 0 };
  readonly #strict: boolean;
  readonly #evaluate: Evaluate;
  readonly #warn: (message: string) => void;
  readonly #sample: number;
  readonly #silent: Evaluation[] = [];
  #steps = 0;

  constructor(
    options: { strict?: boolean; evaluate?: Evaluate; warn?: (message: string) => void; sample?: number } = {},
  ) {
    this.#strict = options.strict ?? false;
    this.#evaluate = options.evaluate ?? trace;
    this.#warn = options.warn ?? (() => undefined);
    this.#sample = options.sample ?? sample;
  }

  /** For the next step of the fold: undefined but for one step in `sample`. */
  probe(): Probe | undefined {
    this.#steps += 1;
    if (this.#steps % this.#sample !== 0) return undefined;
    return (evaluation) => {
      if (evaluation.result !== false || this.#silent.length >= mostKept) return;
      // The fold moves on before the comparison.
      const { check, result } = evaluation;
      this.#silent.push({ check, result, snapshot: structuredClone(evaluation.snapshot) });
    };
  }

  /** Compare the silent evaluations that were kept. @throws in strict mode, when the evaluators disagree. */
  async compareSilent(): Promise<void> {
    for (const { check, snapshot } of this.#silent.splice(0)) {
      this.counters.compared += 1;
      const reason = await this.#evaluate(check.when, snapshot).then(
        ({ fired }) => (fired === true ? 'json-rules-engine says that it holds' : undefined),
        (error: unknown) => String(error),
      );
      if (reason !== undefined)
        this.#disagree(`The two evaluators disagree about ${check.id}, which was silent: ${reason}.`);
    }
  }

  /** @returns undefined for what is not a check of this book. @throws in strict mode, when the evaluators disagree. */
  async of(finding: Finding, book: PackBook): Promise<TraceOutcome | undefined> {
    const rule = book.rule(finding.rule, finding.packVersion);
    if (rule?.kind !== 'check') return undefined;
    this.counters.compared += 1;
    let outcome: TraceOutcome;
    let reason = 'json-rules-engine says that it does not hold';
    try {
      const { fired, tree } = await this.#evaluate(rule.when, snapshotOf(finding));
      outcome = { tree, agree: fired === true };
    } catch (error) {
      reason = error instanceof Error ? error.message : String(error);
      outcome = { tree: { error: reason }, agree: false };
    }
    if (outcome.agree) return outcome;
    this.#disagree(
      `The two evaluators disagree about ${finding.rule} on ${finding.topic} (finding ${finding.id}): ${reason}.`,
    );
    return outcome;
  }

  #disagree(message: string): void {
    this.counters.disagreed += 1;
    if (this.#strict) throw new Error(message);
    this.#warn(message);
  }
}

/** The facts as the fold read them, and each limit's ladder under `limit:<id>`. */
export function snapshotOf(finding: Finding): Record<string, unknown> {
  const snapshot: Record<string, unknown> = { ...finding.facts };
  for (const verdict of finding.chain) {
    const name = `limit:${verdict.limit}`;
    const ladder = (snapshot[name] ??= []) as Verdict[];
    ladder.push(verdict);
  }
  return snapshot;
}
