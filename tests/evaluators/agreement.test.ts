import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { Engine } from 'json-rules-engine';
import type { TopLevelCondition } from 'json-rules-engine';
import { compileCondition, missingFacts } from '../../src/packs/conditions/compile.js';
import { trace } from '../../src/packs/conditions/trace.js';
import { operatorNames, type Condition } from '../../src/packs/model.js';
import { long, patience, seed } from '../oracle/settings.js';
import { condition, integer, leaf, snapshot, number, tree } from './generated.js';
import { Tally } from './tally.js';

/** Cases of each law: 1,000 in the everyday suite, 10,000 in a thorough run. */
const runs = long ? 10_000 : 1000;
type Snapshot = Readonly<Record<string, unknown>>;
const evaluate = (tree: Condition, facts: Snapshot) => compileCondition(tree).evaluate((name) => facts[name]);

describe('L18: the closures and json-rules-engine', () => {
  test(
    'agree wherever the three-valued answer is known',
    async () => {
      const seen = { true: 0, false: 0, undefined: 0 };
      const tally = new Tally();
      await fc.assert(
        fc.asyncProperty(condition, snapshot(number), async (tree, facts) => {
          const answer = evaluate(tree, facts);
          seen[`${answer}`] += 1;
          tally.add(tree);
          const { fired } = await trace(tree, facts);
          if (answer !== undefined) expect(fired).toBe(answer);
        }),
        { numRuns: runs, seed },
      );
      // Each answer must have been met often enough for the agreement to mean something.
      for (const times of Object.values(seen)) expect(times).toBeGreaterThan(runs / 10);
      // … and so must every operator, deep nesting, and `not`.
      for (const name of operatorNames) expect([name, tally.share(name) > 0.02]).toEqual([name, true]);
      expect(tally.trees).toBe(runs);
      expect(tally.deep).toBeGreaterThan(runs / 10);
      expect(tally.negated).toBeGreaterThan(runs / 10);
    },
    patience,
  );

  test('agree in every case when no fact is missing and every rung is known', async () => {
    await fc.assert(
      fc.asyncProperty(tree(leaf(number)), snapshot(number, 1e9), async (tree, facts) => {
        const answer = evaluate(tree, facts);
        expect(answer).toBeDefined();
        expect((await trace(tree, facts)).fired).toBe(answer);
      }),
      { numRuns: runs, seed },
    );
  });

  test("on whole numbers our operators answer as the library's own", async () => {
    const stock = tree(
      leaf(integer).filter((each) => each.operator !== 'contains' && each.operator !== 'doesNotContain'),
    );
    await fc.assert(
      fc.asyncProperty(stock, snapshot(integer, 1e9), async (tree, facts) => {
        const engine = new Engine([], { allowUndefinedFacts: true, pathResolver: () => undefined });
        engine.addRule({ conditions: { all: [tree] } as TopLevelCondition, event: { type: 'fired' } });
        const { results } = await engine.run({ ...facts });
        expect(results.length === 1).toBe(evaluate(tree, facts));
      }),
      { numRuns: runs, seed },
    );
  });
});

describe('L19: a missing fact', () => {
  test('never changes a known answer when it arrives', () => {
    let known = 0;
    fc.assert(
      fc.property(condition, snapshot(number), snapshot(number, 1e9), (tree, facts, later) => {
        const answer = evaluate(tree, facts);
        if (answer === undefined) return;
        const filled = { ...facts };
        // A rung that is not known may still become broken or met; a rung that is known stays.
        for (const [name, value] of Object.entries(later)) filled[name] ??= value;
        if (Object.values(facts).includes(undefined)) known += 1;
        expect(evaluate(tree, filled)).toBe(answer);
      }),
      { numRuns: runs, seed },
    );
    expect(known).toBeGreaterThan(runs / 10);
  });

  test('is named when it leaves a condition open, and only then', () => {
    fc.assert(
      fc.property(condition, snapshot(number), (tree, facts) => {
        const missing = missingFacts(tree, (name) => facts[name]);
        expect(missing.length > 0).toBe(evaluate(tree, facts) === undefined);
        for (const name of missing) {
          expect(compileCondition(tree).reads).toContain(name);
          if (!name.startsWith('limit:')) expect(facts[name]).toBeUndefined();
        }
      }),
      { numRuns: runs, seed },
    );
  });

  test('no other fact than those in `reads` is asked for', () => {
    fc.assert(
      fc.property(condition, snapshot(number), (tree, facts) => {
        const compiled = compileCondition(tree);
        compiled.evaluate((name) => {
          expect(compiled.reads).toContain(name);
          return facts[name];
        });
      }),
      { numRuns: runs, seed },
    );
  });
});
