import type { Evaluation } from '../../src/engine/checks.js';
import type { AnyEvent } from '../../src/events/event.js';
import type { Condition, OperatorName } from '../../src/packs/model.js';
import { trace } from '../../src/packs/conditions/trace.js';
import { operators } from '../../src/packs/operators/index.js';
import type { PackBook } from '../../src/packs/book.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { inOrder } from './naive.js';

/**
 * The reference of law L20: the whole history sorted and folded from the start, with no checkpoints; and every
 * condition that the fold evaluated by its closures evaluated once more by json-rules-engine on the facts it read.
 */
export interface Reference {
  readonly folded: ReturnType<typeof foldSite>;
  readonly evaluations: readonly Evaluation[];
}

export function reference(events: readonly AnyEvent[], book: PackBook, until: number): Reference {
  const evaluations: Evaluation[] = [];
  const folded = foldSite(inOrder(events), book, until, (evaluation) => evaluations.push(structured(evaluation)));
  return { folded, evaluations };
}

/** The snapshot must not change under us when the fold moves on. */
function structured({ check, snapshot, result }: Evaluation): Evaluation {
  return { check, snapshot: structuredClone(snapshot), result };
}

/**
 * Where the closures and the other two evaluators differ: json-rules-engine wherever the answer is known, and a plain
 * three-valued walk of the tree for what is not known.
 */
export async function disagreements(evaluations: readonly Evaluation[]): Promise<string[]> {
  const differ: string[] = [];
  for (const { check, snapshot, result } of evaluations) {
    const walked = walk(check.when, snapshot);
    if (walked !== result)
      differ.push(
        `${check.id}: closures say ${String(result)}, the tree ${String(walked)}, on ${JSON.stringify(snapshot)}`,
      );
    if (result === undefined) continue;
    const { fired } = await trace(check.when, snapshot);
    if (fired !== result)
      differ.push(`${check.id}: closures say ${result}, json-rules-engine ${fired}, on ${JSON.stringify(snapshot)}`);
  }
  return differ;
}

function walk(condition: Condition, facts: Readonly<Record<string, unknown>>): boolean | undefined {
  if ('all' in condition) {
    const parts = condition.all.map((part) => walk(part, facts));
    return parts.includes(false) ? false : parts.includes(undefined) ? undefined : true;
  }
  if ('any' in condition) {
    const parts = condition.any.map((part) => walk(part, facts));
    return parts.includes(true) ? true : parts.includes(undefined) ? undefined : false;
  }
  if ('not' in condition) {
    const part = walk(condition.not, facts);
    return part === undefined ? undefined : !part;
  }
  const { value } = condition;
  const operand =
    typeof value === 'object' && value !== null && 'fact' in value
      ? facts[value.fact]
      : typeof value === 'object' && value !== null && 'limit' in value
        ? facts[`limit:${value.limit}`]
        : value;
  const compare = operators[condition.operator satisfies OperatorName];
  return compare(facts[condition.fact], operand);
}
