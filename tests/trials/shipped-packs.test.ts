import { describe, expect, test } from '@jest/globals';
import { loadPacks } from '../../src/packs/load.js';
import { runRuleTests } from '../../src/trials/rule-tests.js';

const { packs, diagnostics } = await loadPacks('rules');

test('the shipped packs load without a fault', () => {
  expect(diagnostics.map(({ file, line, code, message }) => `${file}:${line} ${code} ${message}`)).toEqual([]);
  expect(packs.length).toBeGreaterThan(10);
});

test('no words of a rule grow stale: what they say of a day names it, for they may stand for weeks', () => {
  const said = packs.flatMap(({ rules }) =>
    rules.flatMap(({ id, title, messages, advise, retest, caution }) =>
      [title, ...messages.map(({ say }) => say), advise, retest, caution].map((text) => `${id}: ${text ?? ''}`),
    ),
  );
  expect(said.length).toBeGreaterThan(50);
  expect(
    said.filter((text) => /\b(today|yesterday|tomorrow|tonight|of the day|this (day|morning|week))\b/i.test(text)),
  ).toEqual([]);
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
