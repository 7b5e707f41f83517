import { readFile } from 'node:fs/promises';
import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { sayDiff } from '../../src/cli/packs-diff.js';
import { loadPacks } from '../../src/packs/load.js';
import type { Pack } from '../../src/packs/model.js';
import { readPack } from '../../src/packs/reader/index.js';
import { diffPacks } from '../../src/trials/diff/index.js';
import { boundStrictness, periodRise } from '../../src/trials/diff/strictness.js';
import { bumpBetween, bumped, bumps } from '../../src/trials/diff/version.js';

const { packs: shipped } = await loadPacks('rules');
const text = await readFile('tests/packs/whole.good.yaml', 'utf8');

function read(changed: string): Pack {
  const { pack, diagnostics } = readPack(changed, 'pack.yaml');
  if (pack === undefined) throw new Error(diagnostics.map(({ line, message }) => `${line} ${message}`).join('\n'));
  return pack;
}
const whole = read(text);

/** What each replacement does: the whole pack before and after, as a person reads it. */
function after(...replacements: readonly (readonly [from: string, to: string])[]): Pack {
  return read(
    replacements.reduce((now, [from, to]) => {
      expect(now).toContain(from);
      return now.replace(from, to);
    }, text),
  );
}
/** The one change there is. */
function only(...replacements: readonly (readonly [string, string])[]) {
  const { changes, version } = diffPacks(whole, after(...replacements));
  expect(changes).toHaveLength(1);
  const [{ part, id, change, fields } = { part: '', id: '', change: '', fields: [] }] = changes;
  return {
    what: `${change} ${part} ${id}`,
    fields: fields.map(({ field, before, after: now, strictness }) =>
      `${field}: ${before} -> ${now} ${strictness ?? ''}`.trim(),
    ),
    asks: version.asks,
  };
}

describe('a pack beside itself', () => {
  test.each([...shipped, whole].map((pack) => [pack.id, pack] as const))('%s has no difference', (_id, pack) => {
    expect(diffPacks(pack, structuredClone(pack))).toMatchObject({
      changes: [],
      version: { asks: 'none', proposed: pack.version, follows: true },
    });
  });
});

describe('limits', () => {
  test.each([
    [['max: 80 [degF]', 'max: 78 [degF]'], 'max: 80 F -> 78 F tighter', 'minor'],
    [['max: 80 [degF]', 'max: 82 [degF]'], 'max: 80 F -> 82 F looser', 'major'],
    [["min: { value: 60, unit: '[degF]' }", 'min: 62 [degF]'], 'min: 60 F -> 62 F tighter', 'minor'],
    [["min: { value: 60, unit: '[degF]' }\n", '\n'], 'min: 60 F -> undefined looser', 'major'],
    [['    max: 2 mo', '    max: 1 mo'], 'max: 2 months -> 1 month tighter', 'minor'],
    [['    max: 2 mo', '    max: 60 d'], 'max: 2 months -> 60 days differs', 'major'],
    [['    max: 2 mo', '    max: 90 d'], 'max: 2 months -> 90 days looser', 'major'],
    [
      ['times: 2', 'times: 3'],
      'min: 2 × time for an unexposed film to clear -> 3 × time for an unexposed film to clear tighter',
      'minor',
    ],
    [
      ['plus: 30 s', 'plus: 60 s'],
      'max: by the chart us-xx/manual-chart plus 30 s -> by the chart us-xx/manual-chart plus 60 s looser',
      'major',
    ],
    // 26.6666666666667 Cel are 80 F to within the tolerance.
    [['max: 80 [degF]', 'max: 26.666666666666668 Cel'], 'max: 80 F -> 26.666666666666668 C', 'patch'],
    [["max: '70 [degF]'", "max: '71 [degF]'"], 'target: 68 F to 70 F -> 68 F to 71 F', 'patch'],
    [['role: alternative', 'role: fallback'], 'role: alternative -> fallback', 'major'],
  ] as const)('%p', (replacement, field, asks) => {
    const told = only(replacement);
    expect(told.fields).toEqual([field]);
    expect(told.asks).toBe(asks);
  });

  test('a milder severity is looser, a graver one tighter', () => {
    const limit = whole.limits.map((one) => ({ ...one }));
    const [first] = limit;
    if (first === undefined) throw new Error('no limit');
    const milder: Pack = { ...whole, limits: [{ ...first, severity: 'warning' }, ...limit.slice(1)] };
    expect(diffPacks(whole, milder).version.asks).toBe('major');
    expect(diffPacks(milder, whole).version.asks).toBe('minor');
  });

  test('a limit that is gone is major, a new one minor, under another name both', () => {
    const own = { ...whole, limits: whole.limits.filter(({ id }) => id !== 'wedge-steps') };
    expect(diffPacks(whole, own)).toMatchObject({
      changes: [{ part: 'limit', id: 'wedge-steps', change: 'removed', asks: 'major' }],
    });
    expect(diffPacks(own, whole)).toMatchObject({ changes: [{ change: 'added', asks: 'minor' }] });
  });

  test('those of one name are told apart by the lines they speak of', () => {
    const two: Pack = {
      ...whole,
      limits: whole.limits.flatMap((limit) =>
        limit.id === 'wedge-steps' ? [limit, { ...limit, for: { method: ['automatic'] } }] : [limit],
      ),
    };
    const [change] = diffPacks(whole, two).changes;
    expect(change).toMatchObject({ change: 'added', of: 'automatic' });
    const reversed: Pack = { ...two, limits: [...two.limits].reverse() };
    expect(diffPacks(two, reversed).changes).toEqual([]);
  });

  test('either way round, tighter is the other of looser', () => {
    const period = fc.record({
      count: fc.integer({ min: 1, max: 200 }),
      unit: fc.constantFrom('mo', 'wk', 'd', 'h', 'min'),
    });
    const bound = fc.oneof(
      fc
        .double({ min: -50, max: 50, noNaN: true })
        .map((value) => ({ kind: 'quantity' as const, quantity: { value, unit: 'Cel', canonical: value } })),
      period.map((one) => ({ kind: 'period' as const, period: one })),
    );
    const other = { tighter: 'looser', looser: 'tighter', differs: 'differs' } as const;
    fc.assert(
      fc.property(
        fc.constantFrom('min' as const, 'max' as const),
        fc.option(bound, { nil: undefined }),
        fc.option(bound, { nil: undefined }),
        (side, a, b) => {
          const there = boundStrictness(side, a, b);
          expect(boundStrictness(side, b, a)).toBe(there && other[there]);
          expect(boundStrictness(side, a, a)).toBeUndefined();
          // A minimum that rises is tighter; so is a maximum that falls.
          if (a !== undefined && b !== undefined && there !== 'differs')
            expect(boundStrictness(side === 'min' ? 'max' : 'min', a, b)).toBe(there && other[there]);
        },
      ),
    );
  });

  test('months against days only where every month says the same', () => {
    const rise = (a: string, b: string) => {
      const [before, now] = [a, b].map((one) => ({ count: Number(one.slice(0, -2)), unit: one.slice(-2).trim() }));
      return periodRise(before as never, now as never);
    };
    expect(rise('2mo', '55 d')).toBe(-1);
    expect(rise('2mo', '56 d')).toBeUndefined();
    expect(rise('2mo', '62 d')).toBeUndefined();
    expect(rise('2mo', '63 d')).toBe(1);
    expect(rise('14 d', '2wk')).toBe(0);
    // A period of days ends with a day of the site: one that begins at 00:01 lasts nearly two.
    expect(rise('24 h', '1 d')).toBeUndefined();
    expect(rise('168 h', '1wk')).toBeUndefined();
    expect(rise('22 h', '1 d')).toBe(1);
    expect(rise('50 h', '1 d')).toBe(-1);
  });
});

describe('charts', () => {
  test('row by row, with units; a row that asks for less is looser', () => {
    expect(only(['[68, 5]', '[68, 4.5]'])).toEqual({
      what: 'changed chart us-xx/manual-chart',
      // The chart gives both sides of its limit here, so neither is certain.
      fields: ['at 68 [degF]: 5 min -> 4.5 min differs'],
      asks: 'major',
    });
    const law = shipped.find(({ id }) => id === 'us-wa/processing') as Pack;
    const [chart] = law.charts;
    if (chart === undefined) throw new Error('no chart');
    const rows = (change: (value: number) => number): Pack => ({
      ...law,
      charts: [
        { ...chart, rows: chart.rows.map((row, index) => (index === 8 ? { ...row, value: change(row.value) } : row)) },
      ],
    });
    expect(
      diffPacks(
        law,
        rows((value) => value - 30),
      ).changes[0]?.fields,
    ).toEqual([{ field: 'at 68 [degF]', before: '5 min', after: '4.5 min', strictness: 'looser', asks: 'major' }]);
    expect(
      diffPacks(
        law,
        rows((value) => value + 30),
      ).version.asks,
    ).toBe('minor');
  });

  test('a key that becomes doubtful, one that gets an answer, a row between two', () => {
    expect(only(['doubtful: [79]', 'doubtful: [78, 79]']).fields).toEqual(['at 78 [degF]: 5 min -> no answer differs']);
    expect(only(['doubtful: [79]', 'doubtful: []']).fields).toEqual(['at 79 [degF]: no answer -> 5 min differs']);
    expect(only(['[68, 5], [80', '[68, 5], [70, 4.5], [80']).fields).toEqual([
      'at 70 [degF]: 5 min -> 4.5 min differs',
    ]);
  });
});

describe('rules', () => {
  test.each([
    [['title: A strip every 30 films', 'title: A strip'], 'changed duty strip-every', 'patch'],
    [['every: 1 mo', 'every: 2 mo'], 'changed duty monthly', 'major'],
    [['every: 1 mo', 'every: 2 wk'], 'changed duty monthly', 'minor'],
    [['within: 24 h', 'within: 48 h'], 'changed duty fix-chairside', 'major'],
    [['films: 30, period: 1 wk', 'films: 20, period: 1 wk'], 'changed duty strip-every', 'minor'],
    [['counts: whenUsed', 'counts: always'], 'changed duty chemistry-age', 'minor'],
    [['operator: equal, value: sight', 'operator: notEqual, value: timed'], 'changed check by-sight', 'major'],
    [['join: day\n    severity: advice', 'join: day\n    severity: warning'], 'changed check by-sight', 'minor'],
    [['  - topic: darkroom', '  - topic: darkrooms'], '', 'patch'],
    [['title: An invented state', 'title: A state'], 'changed pack us-xx/processing', 'patch'],
    [['to: 2027-12-31', 'to: 2028-12-31'], 'changed pack us-xx/processing', 'minor'],
  ] as const)('%p', (replacement, what, asks) => {
    const { changes, version } = diffPacks(whole, after(replacement));
    expect(version.asks).toBe(asks);
    if (what !== '') expect(changes.map(({ change, part, id }) => `${change} ${part} ${id}`)).toEqual([what]);
  });

  test('another topic is another rule in all but name', () => {
    const rules = whole.rules.map((rule) => (rule.kind === 'check' ? { ...rule, about: 'site' as const } : rule));
    expect(diffPacks(whole, { ...whole, rules }).version.asks).toBe('major');
  });

  test('tests ask for nothing', () => {
    const rules = whole.rules.map((rule) => ({ ...rule, tests: rule.tests.slice(1) }));
    const diff = diffPacks(whole, { ...whole, rules });
    expect(diff.changes.length).toBe(whole.rules.length);
    expect(diff.version).toEqual({ asks: 'none', proposed: '1.2.0', follows: true });
  });

  test('a rule keeps its name in a pack of another name', () => {
    const copy = read(text.replace('pack: us-xx/processing', 'pack: us-yy/processing'));
    expect(diffPacks(whole, copy).changes.map(({ part, fields }) => [part, fields.map(({ field }) => field)])).toEqual([
      ['pack', ['id']],
    ]);
  });
});

describe('versions', () => {
  test.each([
    ['1.2.3', 'major', '2.0.0'],
    ['1.2.3', 'minor', '1.3.0'],
    ['1.2.3', 'patch', '1.2.4'],
    ['1.2.3', 'none', '1.2.3'],
    ['1', 'patch', '1.0.1'],
  ] as const)('%s after a %s change', (version, bump, next) => {
    expect(bumped(version, bump)).toBe(next);
  });

  test('what is proposed rises by what was asked', () => {
    const number = fc.nat({ max: 30 });
    fc.assert(
      fc.property(number, number, number, fc.constantFrom(...bumps), (major, minor, patch, bump) => {
        const version = `${major}.${minor}.${patch}`;
        expect(bumpBetween(version, bumped(version, bump))).toBe(bump);
        if (bump !== 'none') expect(bumpBetween(bumped(version, bump), version)).toBe('none');
      }),
    );
  });

  test.each([
    ['1.2.0', false],
    ['1.2.9', false],
    ['1.1.9', false],
    ['1.3.0', true],
    ['2.0.0', true],
  ])('after a minor change 1.2.0 may become %s: %p', (version, follows) => {
    const now = after(['max: 80 [degF]', 'max: 78 [degF]'], ['version: 1.2.0', `version: '${version}'`]);
    expect(diffPacks(whole, now).version).toEqual({ asks: 'minor', proposed: '1.3.0', follows });
  });
});

test('as a person reads it', () => {
  const now = after(
    ['max: 80 [degF]', 'max: 82 [degF]'],
    ['title: A strip every 30 films', 'title: A strip'],
    ['[68, 5]', '[68, 5.5]'],
    ['version: 1.2.0', 'version: 1.3.0'],
  );
  expect(sayDiff({ packs: [diffPacks(whole, now)], added: ['own/new'], removed: ['own/old'] })).toMatchInlineSnapshot(`
    "- pack own/old
    + pack own/new
    us-xx/processing 1.2.0 -> 1.3.0
    ~ limit development-temperature  major
        max  80 F -> 82 F  looser
    ~ chart us-xx/manual-chart  major
        at 68 [degF]  5 min -> 5.5 min  neither surely tighter nor looser
    ~ duty strip-every  patch
        title  A strip every 30 films -> A strip
    A major change: after 1.2.0 the version is 2.0.0 or later, and the file says 1.3.0: that does not follow.
    "
  `);
  expect(sayDiff({ packs: [], added: [], removed: [] })).toBe('No difference.\n');
});
