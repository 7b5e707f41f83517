import type { Condition, OperatorName } from '../../src/packs/model.js';

/** Counts what generated conditions hold, so that a generator that grows dull makes its test fail. */
export class Tally {
  trees = 0;
  /** Trees with groups in groups in groups. */
  deep = 0;
  /** Trees with a `not` somewhere. */
  negated = 0;
  readonly #operators = new Map<OperatorName, number>();

  add(tree: Condition): void {
    this.trees += 1;
    if (this.#walk(tree) >= 3) this.deep += 1;
    if (JSON.stringify(tree).includes('"not":')) this.negated += 1;
  }

  /** Of all leaves. */
  share(operator: OperatorName): number {
    const all = [...this.#operators.values()].reduce((sum, count) => sum + count, 0);
    return (this.#operators.get(operator) ?? 0) / all;
  }

  /** Groups above the deepest leaf. */
  #walk(tree: Condition): number {
    if ('all' in tree) return 1 + Math.max(...tree.all.map((part) => this.#walk(part)));
    if ('any' in tree) return 1 + Math.max(...tree.any.map((part) => this.#walk(part)));
    if ('not' in tree) return 1 + this.#walk(tree.not);
    this.#operators.set(tree.operator, (this.#operators.get(tree.operator) ?? 0) + 1);
    return 0;
  }
}
