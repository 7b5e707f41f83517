import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import type { SentEvent } from '../../src/cli/demo/teller.js';
import { board } from '../../src/engine/board.js';
import type { Evaluation } from '../../src/engine/checks.js';
import { advance, cloneState, createState, step } from '../../src/engine/fold.js';
import { notEvaluable } from '../../src/engine/not-evaluable.js';
import { missingFacts } from '../../src/packs/conditions/compile.js';
import { facts } from '../../src/packs/facts.js';
import type { Condition } from '../../src/packs/model.js';
import { suppliesOf } from '../../src/packs/supply.js';
import { effective } from '../../src/trials/fold-site.js';
import { shipped } from '../scenarios/stage.js';
import { isValid } from '../engine/sent.js';
import { histories } from './histories.js';
import { decoded, patience, tries } from './settings.js';

/** What the shipped rules need, and what nobody sends once it is stripped from a history. */
const stripped = [
  'run.developer.time',
  'developer.temperature',
  'run.developer.temperature',
  'run.fixer.time',
  'wedge.steps',
  'lot.expired',
] as const;

/** An event without the fields that would supply a fact; undefined where nothing valid is left of it. */
function without(event: SentEvent, fact: string): SentEvent | undefined {
  let data = event.data;
  for (const { event: type, with: words = {}, fields = [] } of suppliesOf(fact)) {
    if (type !== event.type || !Object.entries(words).every(([field, word]) => data[field] === word)) continue;
    for (const field of fields.filter((each) => each !== 'line')) data = drop(data, field.split('.'));
    // Densities tell the steps too, where a reference is on record.
    if (fact === 'wedge.steps') data = drop(data, ['densities']);
  }
  return isValid(event.type, data) ? { ...event, data } : undefined;
}

function drop(data: Record<string, unknown>, [head = '', ...rest]: string[]): Record<string, unknown> {
  if (!Object.hasOwn(data, head)) return data;
  const { [head]: value, ...others } = data;
  return rest.length === 0 ? others : { ...others, [head]: drop(value as Record<string, unknown>, rest) };
}

/** Whether a condition cannot hold without a fact. */
function needs(condition: Condition, fact: string): boolean {
  if ('all' in condition) return condition.all.some((part) => needs(part, fact));
  if ('any' in condition) return condition.any.every((part) => needs(part, fact));
  if ('not' in condition) return false;
  return condition.fact === fact;
}

describe('L19: unknown is never a breach and never silent', () => {
  test(
    'with a fact nobody sends no rule that needs it fires, and each that was met says what it lacks',
    () => {
      const seen = new Map<string, { told: number }>();
      fc.assert(
        fc.property(histories(), ({ events, until }) => {
          for (const fact of stripped) {
            const left = events.flatMap((event) => without(event, fact) ?? []);
            const state = createState();
            const count = seen.get(fact) ?? { told: 0 };
            seen.set(fact, count);
            for (const event of effective(left.map(decoded))) {
              const evaluations: Evaluation[] = [];
              // A person's word may reach one that was closed long before.
              const known = [...Object.values(state.findings), ...state.closed];
              const before = new Map(known.map(({ id, occurrences }) => [id, occurrences]));
              const touched = step(state, event, shipped, (one) => evaluations.push(structuredClone(one)));
              const results = new Map<string, unknown[]>();
              for (const { check, result } of evaluations)
                results.set(check.id, [...(results.get(check.id) ?? []), result]);
              for (const finding of touched) {
                const fired = finding.occurrences > (before.get(finding.id) ?? 0) && finding.kind === 'check';
                // What opens or grows was judged true by this very event.
                if (fired)
                  expect([finding.rule, results.get(finding.rule)]).toEqual([
                    finding.rule,
                    expect.arrayContaining([true]),
                  ]);
              }
              for (const { check, snapshot, result } of evaluations) {
                expect(snapshot[fact]).toBeUndefined();
                if (!needs(check.when, fact)) continue;
                expect([check.id, result]).not.toEqual([check.id, true]);
                if (result !== undefined) continue;
                const lacks = missingFacts(check.when, (name) => snapshot[name]).filter((name) =>
                  isLack(name, event.type),
                );
                if (lacks.length === 0 || check.about === 'mount') continue;
                const gaps = Object.values(state.unevaluable).filter(
                  ({ rule, latest }) => rule === check.id && latest === event.at,
                );
                expect([check.id, gaps.flatMap(({ missing }) => missing.map((one) => one.fact))]).toEqual([
                  check.id,
                  expect.arrayContaining(lacks),
                ]);
                count.told += 1;
              }
            }
            advance(state, until, shipped);
            // No card but of what fired; and what is told is told of rules in force, with something to send or a chart to look at.
            const open = new Set(Object.keys(state.findings));
            for (const card of board(state, until, shipped).cards)
              expect(card.findings.every((id) => open.has(id))).toBe(true);
            const items = notEvaluable(cloneState(state), until, shipped);
            for (const item of items) {
              expect(item.unanswered.length + item.missing.flatMap(({ send }) => send).length).toBeGreaterThan(0);
              expect(item.text).toMatch(/^Not evaluable at .+ since \w{3} \d.*\.$/);
            }
          }
        }),
        tries(4),
      );
      // Rules were left open often enough for this to mean something.
      const told = [...seen.values()].reduce((sum, count) => sum + count.told, 0);
      expect(told).toBeGreaterThan(15);
    },
    patience,
  );
});

/** Neither a ladder, whose facts are told instead, nor what this event may report and does not. */
function isLack(name: string, type: string): boolean {
  const known = facts.get(name);
  return known !== undefined && !(known.aside === true && known.fedBy.includes(type));
}
