import fc from 'fast-check';
import type { Condition, Leaf, OperatorName } from '../../src/packs/model.js';
import type { Rung } from '../../src/packs/conditions/types.js';

/** Generated conditions and snapshots: facts of each kind, ladders, binary fractions, and facts that are missing. */

const numbers = ['run.developer.time', 'run.developer.temperature', 'wedge.steps'] as const;
const texts = ['run.method', 'run.purpose'] as const;
const flags = ['lot.expired'] as const;
const limits = ['development-time-min', 'wedge-steps'] as const;
export const words = ['manual', 'automatic', 'chairside'] as const;

/** Close together, so that equal and nearly equal values meet: 0.1 + 0.2 beside 0.3. */
export const number = fc.constantFrom(
  0,
  0.1,
  0.3,
  0.1 + 0.2,
  0.95 - 0.85,
  1,
  1 + 1e-12,
  1.001,
  20,
  (68 - 32) / 1.8,
  -3,
  240,
);
export const integer = fc.integer({ min: -3, max: 3 });

const ordered: readonly OperatorName[] = ['lessThan', 'lessThanInclusive', 'greaterThan', 'greaterThanInclusive'];
const equals: readonly OperatorName[] = ['equal', 'notEqual'];
const lists: readonly OperatorName[] = ['in', 'notIn'];
const parts: readonly OperatorName[] = ['contains', 'doesNotContain'];
const ladders: readonly OperatorName[] = ['below', 'above', 'outside'];

const leafOf = (
  names: readonly string[],
  operators: readonly OperatorName[],
  value: fc.Arbitrary<Leaf['value']>,
): fc.Arbitrary<Leaf> => fc.record({ fact: fc.constantFrom(...names), operator: fc.constantFrom(...operators), value });

export function leaf(value: fc.Arbitrary<number>): fc.Arbitrary<Leaf> {
  const word = fc.constantFrom(...words);
  return fc.oneof(
    leafOf(numbers, [...ordered, ...equals], value),
    leafOf(numbers, [...ordered, ...equals], fc.record({ fact: fc.constantFrom(...numbers) })),
    leafOf(numbers, lists, fc.array(value, { minLength: 1, maxLength: 3 })),
    leafOf(texts, equals, fc.oneof(word, fc.record({ fact: fc.constantFrom(...texts) }))),
    leafOf(texts, lists, fc.array(word, { minLength: 1, maxLength: 3 })),
    leafOf(texts, parts, fc.constantFrom('man', 'side', 'x')),
    leafOf(flags, equals, fc.boolean()),
  );
}
export const ladderLeaf = leafOf(numbers, ladders, fc.record({ limit: fc.constantFrom(...limits) }));

export function tree(leaves: fc.Arbitrary<Leaf>): fc.Arbitrary<Condition> {
  const { condition } = fc.letrec<{ condition: Condition }>((tie) => {
    const several = fc.array(tie('condition'), { minLength: 1, maxLength: 4 });
    return {
      condition: fc.oneof(
        { depthSize: 'small', maxDepth: 5, withCrossShrink: true },
        leaves,
        fc.record({ all: several }),
        fc.record({ any: several }),
        fc.record({ not: tie('condition') }),
      ),
    };
  });
  return condition;
}
export const condition = tree(fc.oneof({ weight: 3, arbitrary: leaf(number) }, { weight: 1, arbitrary: ladderLeaf }));

const rung: fc.Arbitrary<Rung> = fc.record({
  side: fc.constantFrom('min', 'max'),
  verdict: fc.constantFrom('broken', 'met', 'met', 'unknown'),
});

/** `freq` in so many facts is missing. */
export function snapshot(value: fc.Arbitrary<number>, freq = 3): fc.Arbitrary<Record<string, unknown>> {
  const maybe = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { nil: undefined, freq });
  const entries = [
    ...numbers.map((name) => [name, maybe(value)] as const),
    ...texts.map((name) => [name, maybe(fc.constantFrom(...words))] as const),
    ...flags.map((name) => [name, maybe(fc.boolean())] as const),
    ...limits.map((name) => [`limit:${name}`, maybe(fc.array(rung, { maxLength: 4 }))] as const),
  ];
  return fc.record(Object.fromEntries(entries));
}
