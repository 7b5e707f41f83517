import { describe, expect, test } from '@jest/globals';
import { sayCoverage } from '../../src/cli/packs-coverage.js';
import { loadPacks } from '../../src/packs/load.js';
import { readPack } from '../../src/packs/reader/index.js';
import type { Pack } from '../../src/packs/model.js';
import { coverageOf } from '../../src/trials/coverage.js';
import { runRuleTests } from '../../src/trials/rule-tests.js';

const { packs: shipped } = await loadPacks('rules');

function read(text: string): Pack {
  const { pack, diagnostics } = readPack(text, 'pack.yaml');
  if (pack === undefined) throw new Error(diagnostics.map(({ message }) => message).join('\n'));
  return pack;
}

const run = (clock: string, developer: string, more = '') =>
  `{ film.processed: { at: ${clock}, line: M1, method: manual, count: 1, developer: { ${developer} }${more} } }`;

/** One check of two limits of the same name, two messages, a group that is left early; one duty by a limit. */
const small = (tests: string) =>
  read(
    `
pack: own/small
version: 1.0.0
title: Small
authority: nobody
layer: practice
citation: { text: common practice, read: practice }
limits:
  - { id: own-time, of: run.developer.time, for: { method: manual }, min: 4 min, max: 6 min, severity: warning }
  - { id: own-time, of: run.developer.time, for: { method: automatic }, min: 2 min, severity: advice }
  - { id: own-age, of: chemistry.age, max: 10 d, severity: warning }
checks:
  - id: time
    title: Time
    on: film.processed
    about: line
    when:
      all:
        - { fact: run.developer.time, operator: outside, value: { limit: own-time } }
        - not: { fact: run.developer.temperature, operator: greaterThan, value: '80 [degF]' }
    say:
      - { when: { fact: run.developer.time, operator: lessThan, value: 3 min }, say: Far too short. }
      - { say: Not the time. }
    tests:
${tests.trim().replace(/^/gm, '      ')}
duties:
  - id: age
    title: Age
    must: { event: chemistry.changed }
    per: line
    for: { method: manual }
    every: { limit: own-age }
    say: Old.
    tests:
      - name: fires
        kind: fires
        clock: '2026-03-02T08:00'
        events: [{ chemistry.changed: { at: 8:00, line: M1, bath: developer } }]
        until: +12 d
        expect: [{ opened: +11 d 0:00 }]
${quiet('silent')}${quiet('boundary')}`,
  );

const quiet = (kind: string) => `
      - name: ${kind}
        kind: ${kind}
        clock: '2026-03-02T08:00'
        events: [{ chemistry.changed: { at: 8:00, line: M1, bath: developer } }]
        until: +10 d
        expect: []`;

const three = `
- { name: f, kind: fires, clock: '2026-03-02T08:00', events: [${run('8:00', "temperature: '68 [degF]', time: 3.5 min")}], expect: [{}] }
- { name: s, kind: silent, clock: '2026-03-02T08:00', events: [${run('8:00', 'time: 5 min')}], expect: [] }
- { name: b, kind: boundary, clock: '2026-03-02T08:00', events: [${run('8:00', 'time: 4 min')}], expect: [] }`;

describe('what the tests of a pack touch', () => {
  const pack = small(three);
  const coverage = coverageOf([pack]);
  const [own] = coverage.packs;

  test('the tests pass', () => {
    expect(runRuleTests([pack]).map(({ failure }) => failure)).toEqual([
      undefined,
      undefined,
      undefined,
      undefined,
      undefined,
      undefined,
    ]);
  });

  test('rules: fired, silent, cleared', () => {
    expect(own?.rules).toEqual([
      { rule: 'own/small/time', fired: true, silent: true, cleared: false },
      { rule: 'own/small/age', fired: true, silent: true, cleared: false },
    ]);
  });

  test('each side of each limit, those of one name apart', () => {
    expect(
      own?.limits.map(({ limit, side, bound, met, broken, notEvaluable }) => ({
        limit,
        side,
        bound,
        met,
        broken,
        notEvaluable,
      })),
    ).toEqual([
      { limit: 'own-time', side: 'min', bound: '4 min', met: true, broken: true, notEvaluable: false },
      { limit: 'own-time', side: 'max', bound: '6 min', met: true, broken: false, notEvaluable: false },
      { limit: 'own-time', side: 'min', bound: '2 min', met: false, broken: false, notEvaluable: false },
      { limit: 'own-age', side: 'max', bound: '10 days', met: true, broken: true, notEvaluable: false },
    ]);
  });

  test('leaves count only where an evaluation came to them', () => {
    expect(own?.branches).toEqual([
      {
        rule: 'own/small/time',
        part: 'when',
        path: 'all/0',
        leaf: 'run.developer.time outside limit own-time',
        true: true,
        false: true,
      },
      {
        rule: 'own/small/time',
        part: 'when',
        path: 'all/1/not',
        leaf: 'run.developer.temperature greaterThan 26.6666667 Cel',
        true: false,
        false: true,
      },
    ]);
  });

  test('each message', () => {
    expect(own?.messages.map(({ say, said }) => [say, said])).toEqual([
      ['Far too short.', false],
      ['Not the time.', true],
      ['Old.', true],
    ]);
  });

  test('shares, and the untouched as a person reads it', () => {
    // 6 of rules, 8 of limits, 4 of leaves, 3 of messages.
    expect(coverage.total).toEqual({ covered: 4 + 5 + 3 + 2, of: 21 });
    expect(sayCoverage(coverage)).toMatchInlineSnapshot(`
      "own/small
        rule own/small/time: never cleared
        rule own/small/age: never cleared
        limit own-time max 6 min (warning; manual): never broken, never not evaluable
        limit own-time min 2 min (advice; automatic): never met, never broken, never not evaluable
        own/small/time when/all/1/not: run.developer.temperature greaterThan 26.6666667 Cel: never true
        own/small/time says "Far too short.": never said

      pack                rules          limits        branches        messages             all
      own/small        4/6 66 %        5/8 62 %        3/4 75 %        2/3 66 %      14/21 66 %
      total            4/6 66 %        5/8 62 %        3/4 75 %        2/3 66 %      14/21 66 %
      "
    `);
  });

  test('one more test touches what it touches', () => {
    const more = small(`${three}
- { name: far, kind: fires, clock: '2026-03-02T08:00', events: [${run('8:00', "temperature: '84 [degF]', time: 1 min")}, ${run('9:00', "temperature: '68 [degF]', time: 1 min")}, ${run('10:00', "temperature: '68 [degF]', time: 7 min")}, ${run('11:00', 'time: 5 min')}], expect: [{ status: cleared, occurrences: 2 }] }`);
    expect(runRuleTests([more]).flatMap(({ failure }) => failure ?? [])).toEqual([]);
    const { total, packs } = coverageOf([more]);
    expect(total).toEqual({ covered: 14 + 4, of: 21 });
    expect(packs[0]?.limits.filter(({ met, broken }) => !met || !broken).map(({ bound }) => bound)).toEqual(['2 min']);
  });

  test("another rule's tests touch nothing of this one", () => {
    const [check, duty] = pack.rules;
    const without: Pack = {
      ...pack,
      rules: [{ ...check, tests: [] } as unknown as Pack['rules'][number], ...(duty ? [duty] : [])],
    };
    const [seen] = coverageOf([without]).packs;
    expect(seen?.branches.some((leaf) => leaf.true || leaf.false)).toBe(false);
    expect(seen?.rules[0]).toMatchObject({ fired: false, silent: false });
  });
});

describe('what nothing told is not touched', () => {
  const pack = (tests: string) =>
    read(`
pack: own/range
version: 1.0.0
title: Range
authority: nobody
layer: practice
citation: { text: common practice, read: practice }
limits:
  - { id: own-range, of: run.developer.time, min: 3 min, max: 7 min, severity: warning }
checks:
  - id: long
    title: Long
    on: film.processed
    about: line
    for: { method: manual }
    when: { fact: run.developer.time, operator: above, value: { limit: own-range } }
    say: Long.
    tests:
      - { name: f, kind: fires, clock: '2026-03-02T08:00', events: [${run('8:00', 'time: 8 min')}], expect: [{}] }
${tests.trim().replace(/^/gm, '      ')}`);
  const kept = (kind: string, time: string) =>
    `- { name: ${kind}, kind: ${kind}, clock: '2026-03-02T08:00', events: [${run('8:00', `time: ${time}`)}], expect: [] }`;

  test('a side of a limit that the operator does not ask', () => {
    const [own] = coverageOf([pack(`${kept('silent', '1 min')}\n${kept('boundary', '7 min')}`)]).packs;
    expect(own?.limits.map(({ side, met, broken }) => [side, met, broken])).toEqual([
      ['min', false, false],
      ['max', true, true],
    ]);
  });

  test('the silence of a rule that was not judged', () => {
    const chair = kept('silent', '1 min').replace('line: M1, method: manual', 'line: C1, method: chairside');
    const [own] = coverageOf([pack(`${chair}\n${chair.replaceAll('silent', 'boundary')}`)]).packs;
    expect(own?.rules[0]).toMatchObject({ fired: true, silent: false });
    const [seen] = coverageOf([pack(`${kept('silent', '1 min')}\n${kept('boundary', '7 min')}`)]).packs;
    expect(seen?.rules[0]).toMatchObject({ fired: true, silent: true });
  });
});

test('of the shipped packs, only what no test can reach with shipped packs alone is untouched', () => {
  const { packs, total } = coverageOf(shipped);
  const never = packs.flatMap(({ rules, limits, branches, messages }) => [
    ...rules.filter(({ fired, silent, cleared }) => !fired || !silent || cleared === false).map(({ rule }) => rule),
    ...limits.filter(({ met, broken }) => !met || !broken).map(({ limit }) => limit),
    ...branches.filter((leaf) => !leaf.true || !leaf.false).map(({ leaf }) => leaf),
    ...messages.filter(({ said }) => !said).map(({ say }) => say),
  ]);
  expect(never).toEqual([
    // No maker's sheet is shipped, so none can be on file: the rule is never judged to be kept, and never cleared.
    'common/makers-sheet/sheet-missing',
    'line.makersSheet equal false',
    // A strip that is steps off always has a direction; the sentence is there for one that has not.
    'Strip {wedge.steps} {wedge.steps|step|steps} off the reference (limit {limit.wedge-steps}). Hold patient films on {line}.',
  ]);
  expect(total.of - total.covered).toBe(4);
});
