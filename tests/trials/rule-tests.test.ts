import { readFile } from 'node:fs/promises';
import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { loadPacks } from '../../src/packs/load.js';
import { checkPacks, readPack } from '../../src/packs/reader/index.js';
import { pairUp } from '../../src/trials/matching.js';
import { runRuleTests } from '../../src/trials/rule-tests.js';
import { holdsWords } from '../../src/trials/words.js';

const { packs: shipped, reads } = await loadPacks('rules');

/** A clinic's pack with one limit, and tests of it. */
function clinic(tests: string): ReturnType<typeof runRuleTests> {
  const text = `
pack: clinic/temperatures
version: 1.0.0
title: Our own range
authority: The office
layer: clinic
citation: { text: house rule, read: practice }
limits:
  - { id: developer-temperature, of: developer.temperature, for: { method: manual }, max: '74 [degF]', severity: warning }
tests:
${tests.replace(/^/gm, '  ')}`;
  const read = readPack(text, 'clinic.yaml');
  expect([...read.diagnostics, ...checkPacks([...reads, read])]).toEqual([]);
  return runRuleTests(read.pack === undefined ? [] : [read.pack], [...shipped, ...(read.pack ? [read.pack] : [])]);
}

const warm = `
  rules: common/temperatures/developer-temperature
  clock: '2026-03-02T08:00'
  events:
    - bath.measured: { at: 8:00, line: M1, bath: developer, temperature: '74 [degF]' }
    - bath.measured: { at: +2 h, line: M1, bath: developer, temperature: '76 [degF]' }`;

describe('tests of a pack that has only limits', () => {
  test('pass when the rule of another pack finds what they expect', () => {
    const outcomes = clinic(`- name: above ours
  kind: fires${warm}
  expect:
    - rule: common/temperatures/developer-temperature
      subject: line M1
      line: M1
      severity: warning
      opened: +2 h
      says: Developer at 76 F
      values: { developer.temperature: '76 [degF]', limit.developer-temperature: '74 [degF]' }`);
    expect(outcomes).toEqual([
      {
        pack: 'clinic/temperatures',
        rule: 'common/temperatures/developer-temperature',
        test: 'above ours',
        kind: 'fires',
      },
    ]);
  });

  test('a failure shows what was expected beside what was found', () => {
    const [outcome] = clinic(`- name: above ours
  kind: fires${warm}
  expect:
    - subject: tube R1
      severity: law
      opened: 8:00
      says: Developer at 75 F
      values: { developer.temperature: '75 [degF]', fixer.temperature: '68 [degF]', limit.developer-temperature: 80 F }
    - { status: cleared }`);
    expect(`\n${outcome?.failure}\n`).toMatchInlineSnapshot(`
      "
        finding 1                    expected                                   found
        rule                         common/temperatures/developer-temperature  common/temperatures/developer-temperature
      ! subject                      tube R1                                    line M1
      ! severity                     law                                        warning
      ! opened                       8:00 (Mon 2026-03-02 08:00)                Mon 2026-03-02 10:00
      ! says                         Developer at 75 F                          Developer at 76 F on M1; limit 74 F (house rule). Below 60 and above 80 F the chart has no time.
      ! developer.temperature        75 F                                       76 F
      ! fixer.temperature            68 F                                       not among the numbers of the finding
      ! limit.developer-temperature  80 F                                       74 F
        words: Developer at [-75-]{+76+} F …
        finding 2  expected                                   not found
        rule       common/temperatures/developer-temperature
        status     cleared
      "
    `);
    expect(outcome?.difference?.unmet.map(({ number, isFound }) => [number, isFound])).toEqual([
      [1, true],
      [2, false],
    ]);
  });

  test('what nothing expects is told', () => {
    const [outcome] = clinic(`- name: silent
  kind: silent${warm}
  expect: []`);
    expect(outcome?.failure).toMatchInlineSnapshot(
      `"not expected: warning (open) Mon 2026-03-02 10:00 common/temperatures/developer-temperature: Developer at 76 F on M1; limit 74 F (house rule). Below 60 and above 80 F the chart has no time."`,
    );
  });
});

describe('expectations', () => {
  test('who says more chooses first', () => {
    const [outcome] = clinic(`- name: two findings
  kind: fires
  rules: common/temperatures/developer-temperature
  clock: '2026-03-02T08:00'
  events:
    - bath.measured: { at: 8:00, line: M1, bath: developer, temperature: '76 [degF]' }
    - bath.measured: { at: 9:00, line: M1, bath: developer, temperature: '68 [degF]' }
    - bath.measured: { at: 10:00, line: M1, bath: developer, temperature: '77 [degF]' }
  expect:
    - { severity: warning }
    - { severity: warning, opened: 8:00, status: cleared }`);
    expect(outcome?.failure).toBeUndefined();
  });

  test('a run is named by the number of its event, and rules beside the own one are looked at too', () => {
    const run = (first: number, second: number) => `- name: too short
  kind: fires
  rules: [common/processing-times/development-short, common/temperatures/developer-temperature]
  site: { jurisdictions: [us, us-wa] }
  clock: '2026-03-02T08:00'
  events:
    - bath.measured: { at: 8:00, line: M1, bath: developer, temperature: '70 [degF]' }
    - film.processed: { at: 9:00, line: M1, method: manual, count: 2, endpoint: timed, developer: { temperature: '70 [degF]', time: ${first} min } }
    - film.processed: { at: +1 d 9:00, line: M1, method: manual, count: 2, endpoint: timed, developer: { temperature: '70 [degF]', time: ${second} min } }
  expect:
    - { subject: run 3, films: 2, values: { run.developer.time: 4 min, limit.development-time-min: 4.5 min } }`;
    expect(clinic(run(4.5, 4))[0]?.failure).toBeUndefined();
    expect(clinic(run(4, 4.5))[0]?.failure).toContain('! subject');
  });

  test('a test that cannot be sent says why', () => {
    const failure = (site: string, events: string) =>
      clinic(`- name: faulty
  kind: silent
  rules: common/temperatures/developer-temperature
  site: ${site}
  events: ${events}
  expect: []`)[0]?.failure;
    expect(failure('{}', '[]')).toContain('needs clock and until');
    expect(failure('{ zone: America/Boston }', '[]')).toContain('"America/Boston" is not a time zone');
    expect(failure('{ lines: [{ id: M1 }] }', "[{ day.opened: { at: '2026-03-02T08:00' } }]")).toContain(
      'site (site.configured): /data/lines/0/method',
    );
  });
});

describe('a silence that shows nothing fails', () => {
  const rule = 'common/temperatures/developer-temperature';
  const failure = (rules: string, rest: string, kind = 'silent') =>
    clinic(`- name: quiet\n  kind: ${kind}\n  rules: ${rules}\n${rest}\n  expect: []`)[0]?.failure;
  const cool = "{ bath.measured: { at: '2026-03-02T08:00', line: M1, bath: developer, temperature: '70 [degF]' } }";
  const strip = "{ film.processed: { at: '2026-03-02T09:00', line: M1, method: manual, count: 1 } }";

  test('where no event is one that the check hears', () => {
    const told = `${rule} was never judged: the test sends nothing that it hears (`;
    expect(failure(rule, `  events: [${strip}]`)).toContain(told);
    expect(failure(rule, `  events: [${strip}]`, 'boundary')).toContain(told);
    expect(failure(rule, `  events: [${strip}, ${cool}]`)).toBeUndefined();
    // Heard, and passed over: this check speaks of the developer alone.
    expect(failure(rule, `  events: [${cool.replace('bath: developer', 'bath: wash')}]`)).toBeUndefined();
  });

  test('where it ends before', () => {
    expect(failure(rule, `  until: '2020-01-01T00:00'\n  events: [${cool}]`)).toContain('was never judged');
    expect(failure('common/wedge/strip-first', `  until: '2020-01-01T00:00'\n  events: [${cool}]`)).toContain(
      'never began',
    );
  });

  test('where the site has nothing that the duty is owed for', () => {
    const at = (lines: string) =>
      failure(
        'common/wedge/strip-first',
        `  site: { lines: [${lines}] }\n  clock: '2026-03-02T08:00'\n  until: +1 h\n  events: []`,
      );
    expect(at('{ id: M1, method: manual }')).toBeUndefined();
    expect(at('')).toContain('never began: the site of the test has nothing that it is owed for');
  });
});

describe('words and numbers', () => {
  const expecting = (expect: string) =>
    clinic(`- name: above ours\n  kind: fires${warm}\n  expect: [${expect}]`)[0]?.failure;

  test('a number of another dimension is another number', () => {
    // 74 [degF] are 23.33 Cel.
    expect(expecting('{ values: { limit.developer-temperature: 23.333333333333332 Cel } }')).toBeUndefined();
    expect(expecting('{ values: { limit.developer-temperature: 23.333333333333332 s } }')).toContain(
      '! limit.developer-temperature',
    );
    expect(expecting("{ values: { limit.developer-temperature: '23.333333333333332 1' } }")).toContain(
      '! limit.developer-temperature',
    );
  });

  test('words are whole words', () => {
    expect(expecting('{ says: 76 F on M1 }')).toBeUndefined();
    expect(expecting('{ says: 6 F on M1 }')).toContain('! says');
    expect(expecting('{ values: { limit.developer-temperature: 74 F } }')).toBeUndefined();
    expect(expecting('{ values: { limit.developer-temperature: 4 F } }')).toContain('! limit.developer-temperature');
  });

  test.each([
    ['60 days old', '0 days', false],
    ['60 days old', '60 day', false],
    ['60 days old', '60 days', true],
    ['4.5 min', '5 min', false],
    ['4.5 min', '4', false],
    ['at -5 F', '5 F', false],
    ['at 3-5 F', '5 F', true],
    ['10:30 short', '0:30 short', false],
    ['by 0:30 short.', '0:30 short', true],
    ['(0:30', '(0', false],
    ['Limit 74 F (house rule).', 'house rule', true],
    ['a+b', '+b', true],
    ['Ünder', 'nder', false],
    ['60 days, 160 days', '60 days', true],
    ['160 days, 60 days', '60 days', true],
  ])('%p holds %p: %p', (text, words, holds) => {
    expect(holdsWords(text, words)).toBe(holds);
  });
});

describe('pairs', () => {
  test('crosswise, where each expectation alone would fit the first', () => {
    const [outcome] = clinic(`- name: two findings
  kind: fires
  rules: common/temperatures/developer-temperature
  clock: '2026-03-02T08:00'
  events:
    - bath.measured: { at: 8:00, line: M1, bath: developer, temperature: '76 [degF]' }
    - bath.measured: { at: 9:00, line: M1, bath: developer, temperature: '68 [degF]' }
    - bath.measured: { at: 10:00, line: M1, bath: developer, temperature: '77 [degF]' }
  expect:
    - { severity: warning, line: M1 }
    - { severity: warning, status: cleared }`);
    expect(outcome?.failure).toBeUndefined();
  });

  test('as many as any pairing has', () => {
    const best = (fits: readonly (readonly number[])[], used: readonly number[] = []): number => {
      const [first, ...rest] = fits;
      if (first === undefined) return 0;
      const ways = first.filter((one) => !used.includes(one)).map((one) => 1 + best(rest, [...used, one]));
      return Math.max(best(rest, used), ...ways);
    };
    fc.assert(
      fc.property(fc.array(fc.uniqueArray(fc.nat({ max: 4 })), { maxLength: 5 }), (fits) => {
        const pairs = pairUp(fits);
        const taken = pairs.filter((one) => one !== undefined);
        expect(new Set(taken).size).toBe(taken.length);
        for (const [want, one] of pairs.entries()) if (one !== undefined) expect(fits[want]).toContain(one);
        expect(taken.length).toBe(best(fits));
      }),
    );
  });
});

test('the examples of docs/packs.md pass', async () => {
  const page =
    (await readFile('docs/packs.md', 'utf8')).split(/^## /m).find((part) => part.startsWith('Tests\n')) ?? '';
  const blocks = [...page.matchAll(/^```yaml\ntests:\n([\s\S]*?)^```/gm)].map(([, block = '']) =>
    block.replace(/^ {2}/gm, ''),
  );
  expect(blocks).toHaveLength(2);
  const outcomes = blocks.flatMap((block) =>
    clinic(
      block.includes('rules:')
        ? block
        : block.replace(/^ {2}kind: .*$/gm, '$&\n  rules: common/processing-times/development-short'),
    ),
  );
  expect(outcomes.map(({ test: name, failure }) => [name, failure])).toEqual([
    ['half a minute short', undefined],
    ['exactly the chart', undefined],
    ['above our own range', undefined],
  ]);
});
