import { expect, test } from '@jest/globals';
import type { Evaluation } from '../../src/engine/checks.js';
import { Traces } from '../../src/findings/traces.js';
import { PackBook } from '../../src/packs/book.js';
import { trace } from '../../src/packs/conditions/trace.js';
import { loadPacks } from '../../src/packs/load.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { bookOf, stage } from '../../src/trials/rule-tests.js';
import { patience } from '../oracle/settings.js';

const { packs } = await loadPacks('rules');
const book = new PackBook(packs);

test(
  'L18: every shipped check, fired in its own tests, is judged alike by json-rules-engine on the facts it read',
  async () => {
    const traces = new Traces({ strict: true });
    const fired = new Set<string>();
    const judged: Evaluation[] = [];
    for (const pack of packs)
      for (const rule of pack.rules)
        for (const test of rule.tests) {
          const staged = stage({ pack, test, rules: [rule.id] });
          if (typeof staged === 'string') throw new Error(staged);
          const { events, until } = staged;
          const { findings } = foldSite(events, bookOf(test, book), until, (evaluation) => {
            if (evaluation.result !== undefined)
              judged.push({ ...evaluation, snapshot: structuredClone(evaluation.snapshot) });
          });
          for (const finding of findings.values()) {
            const outcome = await traces.of(finding, bookOf(test, book));
            if (outcome === undefined) continue;
            expect([finding.rule, outcome.agree]).toEqual([finding.rule, true]);
            fired.add(finding.rule);
          }
        }
    const checks = packs.flatMap(({ rules }) => rules.filter(({ kind }) => kind === 'check').map(({ id }) => id));
    expect([...fired].sort()).toEqual([...checks].sort());
    expect(traces.counters).toMatchObject({ disagreed: 0 });
    expect(traces.counters.compared).toBeGreaterThan(checks.length);
    for (const { check, snapshot, result } of judged)
      expect([check.id, (await trace(check.when, snapshot)).fired]).toEqual([check.id, result]);
    expect(judged.length).toBeGreaterThan(300);
  },
  patience,
);

test('one step of the fold in 1,000 has its silent evaluations compared', async () => {
  const traces = new Traces({ strict: true });
  const probes = Array.from({ length: 3000 }, () => traces.probe());
  expect(probes.flatMap((probe, index) => (probe === undefined ? [] : [index + 1]))).toEqual([1000, 2000, 3000]);
  const check = book.at(Date.now(), { zone: 'UTC', jurisdictions: ['us'] }).checksOn.get('film.processed')?.[0];
  if (check === undefined) throw new Error('No check listens to film.processed.');
  probes[999]?.({ check, snapshot: {}, result: false });
  probes[999]?.({ check, snapshot: {}, result: undefined });
  await traces.compareSilent();
  expect(traces.counters).toEqual({ compared: 1, disagreed: 0 });
});
