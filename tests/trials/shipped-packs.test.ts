import { describe, expect, test } from '@jest/globals';
import { loadPacks } from '../../src/packs/load.js';
import { runRuleTests } from '../../src/trials/rule-tests.js';

const { packs, diagnostics } = await loadPacks('rules');

test('the shipped packs load without a fault', () => {
  expect(diagnostics.map(({ file, line, code, message }) => `${file}:${line} ${code} ${message}`)).toEqual([]);
  expect(packs.length).toBeGreaterThan(10);
});

describe('the tests that the shipped rules carry', () => {
  const outcomes = runRuleTests(packs);
  test.each(outcomes.map((outcome) => [outcome.rule, outcome.test, outcome] as const))(
    '%s: %s',
    (_rule, _test, outcome) => {
      expect(outcome.failure).toBeUndefined();
    },
  );
});
