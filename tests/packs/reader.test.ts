import { readFile, readdir } from 'node:fs/promises';
import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { parse } from 'yaml';
import { isEventType } from '../../src/events/catalogue.js';
import { facts } from '../../src/packs/facts.js';
import { Reading } from '../../src/packs/reader/spot.js';
import { checkPacks, faultCodes, formatDiagnostic, packCaps, readPack } from '../../src/packs/reader/index.js';
import { parseSource } from '../../src/packs/reader/source.js';
import { factNamed } from '../../src/packs/reader/values.js';

const folder = 'tests/packs';
const good = await readFile(`${folder}/whole.good.yaml`, 'utf8');
const bad = await Promise.all(
  (await readdir(folder))
    .filter((name) => name.endsWith('.bad.yaml'))
    .sort()
    .map(async (name) => ({ name, text: await readFile(`${folder}/${name}`, 'utf8') })),
);

/** Accepted, with warnings; what they say of other packs is held against the whole one. */
const warned = await Promise.all(
  (await readdir(folder))
    .filter((name) => name.endsWith('.warn.yaml'))
    .sort()
    .map(async (name) => ({ name, text: await readFile(`${folder}/${name}`, 'utf8') })),
);
const inOrder = <T extends { line: number; column: number }>(list: T[]) =>
  list.sort((a, b) => a.line - b.line || a.column - b.column);
function warningsOf(text: string, name: string) {
  const read = readPack(text, name);
  const across = checkPacks([readPack(good, 'whole.good.yaml'), read]);
  return inOrder([...read.diagnostics, ...across.filter(({ file }) => file === name)]);
}
const expectedOf = (text: string) => [...text.matchAll(/^# expect: (\S+ \d+:\d+)$/gm)].map((match) => match[1]);

function faultsOf(text: string, name = 'pack.yaml') {
  const read = readPack(text, name);
  return [...read.diagnostics, ...checkPacks([read])].sort((a, b) => a.line - b.line || a.column - b.column);
}
const codesOf = (text: string) => faultsOf(text).map((each) => each.code);

describe('files with faults', () => {
  test.each(bad)('$name: every fault at its place, and no other', ({ name, text }) => {
    const expected = expectedOf(text);
    expect(expected.length).toBeGreaterThan(0);
    expect(
      faultsOf(text, name)
        .map(({ code, line, column }) => `${code} ${line}:${column}`)
        .sort(),
    ).toEqual(expected.sort());
    expect(readPack(text, name).pack).toBeUndefined();
  });

  test.each(bad)('$name, as a person reads it', ({ name, text }) => {
    const shown = faultsOf(text, name).map((each) => formatDiagnostic(each, text.replace(/^# expect:.*\n/gm, '')));
    expect(shown.join('\n\n')).toMatchSnapshot();
  });

  test.each(warned)('$name: accepted, every warning at its place, and no other', ({ name, text }) => {
    const warnings = warningsOf(text, name);
    expect(readPack(text, name).pack).toBeDefined();
    expect(new Set(warnings.map(({ severity }) => severity))).toEqual(new Set(['warning']));
    expect(warnings.map(({ code, line, column }) => `${code} ${line}:${column}`)).toEqual(expectedOf(text));
    const shown = warnings.map((each) => formatDiagnostic(each, text.replace(/^# expect:.*\n/gm, '')));
    expect(shown.join('\n\n')).toMatchSnapshot();
  });

  test('there is an example of every code', () => {
    const seen = new Set([
      ...bad.flatMap(({ text }) => codesOf(text)),
      ...warned.flatMap(({ name, text }) => warningsOf(text, name).map(({ code }) => code)),
    ]);
    const elsewhere = ['too-large', 'too-many', 'too-deep'];
    expect(
      Object.keys(faultCodes)
        .filter((code) => !seen.has(code as never))
        .sort(),
    ).toEqual(elsewhere.sort());
  });

  test('the documentation has every code', async () => {
    const page = (await readFile('docs/errors.md', 'utf8')).replace(/ +/g, ' ');
    for (const [code, meaning] of Object.entries(faultCodes)) expect(page).toContain(`| \`${code}\` | ${meaning} |`);
  });
});

test.each((await readdir(folder)).filter((name) => name.endsWith('.good.yaml')))(
  '%s is read without fault',
  async (name) => {
    const read = readPack(await readFile(`${folder}/${name}`, 'utf8'), name);
    expect([...read.diagnostics, ...checkPacks([read])]).toEqual([]);
    expect(read.pack).toBeDefined();
  },
);

describe('a whole pack', () => {
  const { pack, diagnostics } = readPack(good, 'whole.good.yaml');
  const limit = (id: string) => pack?.limits.find((each) => each.id === id);
  const rule = (id: string) => pack?.rules.find((each) => each.id === `us-xx/processing/${id}`);

  test('is read without fault', () => {
    expect([...diagnostics, ...checkPacks([readPack(good, 'whole.good.yaml')])]).toEqual([]);
    expect(pack).toMatchObject({ id: 'us-xx/processing', version: '1.2.0', layer: 'state', from: '2011-10-08' });
  });

  test('quantities are in the unit of their fact, and kept as written', () => {
    const temperature = limit('development-temperature');
    expect(temperature?.max).toEqual({
      kind: 'quantity',
      quantity: { value: 80, unit: '[degF]', canonical: ((80 - 32) * 5) / 9 },
    });
    expect(temperature?.min).toMatchObject({ quantity: { value: 60, unit: '[degF]' } });
    expect(temperature?.target?.min.canonical).toBe(20);
    expect(limit('thermometer-error')?.max).toMatchObject({ quantity: { canonical: 5 } });
    expect(limit('density-increase')?.max).toMatchObject({ quantity: { canonical: 0.05, unit: '1' } });
    expect(limit('wedge-steps')?.max).toMatchObject({ quantity: { canonical: 2 } });
    expect(limit('development-time-max')?.max).toMatchObject({ kind: 'chart', plus: { canonical: 30 } });
    expect(limit('chemistry-age')?.max).toEqual({ kind: 'period', period: { count: 2, unit: 'mo' } });
    expect(limit('fixing-time-min')?.min).toEqual({ kind: 'fact', fact: 'fixer.clearingTime', times: 2 });
  });

  test('charts are in canonical units', () => {
    expect(pack?.charts[0]?.rows).toContainEqual({ key: 20, value: 300 });
    expect(pack?.charts[0]?.doubtful).toEqual([((79 - 32) * 5) / 9]);
  });

  test('literals of conditions are the numbers that facts have; ages stay days', () => {
    expect(rule('development-short')).toMatchObject({
      when: {
        all: [
          { fact: 'run.developer.time', operator: 'below', value: { limit: 'development-time-min' } },
          { not: { fact: 'run.purpose', operator: 'in', value: ['working', 'test'] } },
          {
            any: [
              { fact: 'run.developer.temperature', operator: 'greaterThanInclusive', value: 10 },
              { fact: 'developer.age', operator: 'lessThan', value: 60 },
              { fact: 'run.temperatureGiven', operator: 'equal', value: true },
            ],
          },
        ],
      },
    });
  });

  test('short forms and defaults', () => {
    expect(rule('development-short')).toMatchObject({
      for: { method: ['manual'] },
      clears: 'never',
      cause: 'development',
      join: { count: 60, unit: 'min' },
      citation: { text: 'Invented Code 1-2-3' },
    });
    expect(rule('development-short')).not.toHaveProperty('severity');
    expect(rule('by-sight')).toMatchObject({
      on: ['film.processed'],
      clears: 'passing',
      citation: { read: 'practice' },
    });
    expect(rule('by-sight')?.messages).toHaveLength(2);
    expect(rule('strip-first')).toMatchObject({
      must: [
        { event: 'stepwedge.read', with: {}, has: [] },
        { event: 'testfilm.read', with: { kind: ['exposed', 'unexposed'] }, has: ['density'] },
      ],
      cadence: { kind: 'before', before: [{ event: 'film.processed', with: { purpose: ['patient'] } }] },
      counts: 'always',
      remind: { count: 7, unit: 'd' },
    });
    expect(rule('fix-chairside')).toMatchObject({
      cadence: { kind: 'after', within: { count: 24, unit: 'h' }, eachFilm: true },
    });
    expect(rule('monthly')).toMatchObject({ cadence: { kind: 'every', period: { count: 1, unit: 'mo' } } });
    expect(rule('strip-every')).toMatchObject({ cadence: { kind: 'every', films: 30, period: { unit: 'wk' } } });
  });

  test('a re-test of another kind belongs to what a re-test can clear', () => {
    const also = 'clearedBy: { fact: run.endpoint, operator: equal, value: timed }';
    const withIt = (about: string, clears: string) =>
      readPack(good.replace('about: line', `about: ${about}${clears}\n    ${also}`), 'whole.good.yaml');
    const passing = withIt('line', '');
    expect(passing.diagnostics).toEqual([]);
    expect(passing.pack?.rules.find(({ id }) => id === 'us-xx/processing/by-sight')).toMatchObject({
      clearedBy: { fact: 'run.endpoint', operator: 'equal', value: 'timed' },
    });
    for (const never of [withIt('run', ''), withIt('line', '\n    clears: never')])
      expect(never.diagnostics.map(({ code, message }) => [code, message])).toEqual([
        ['clears-wrong', expect.stringContaining('leave clearedBy out')],
      ]);
  });

  test('a word may follow a number: one for 1, another for the rest', () => {
    const say = (text: string) => readPack(good.replace('{count} runs on {line} by sight.', text), 'whole.good.yaml');
    expect(say('{count} {count|run|runs} on {line} on {day}.').diagnostics).toEqual([]);
    for (const wrong of ['{count|run}', '{count|a|b|c}', '{cuont|run|runs}', '{|run|runs}'])
      expect(say(`${wrong} by sight`).diagnostics.map(({ code }) => code)).toEqual(['placeholder-unknown']);
  });

  test('is the same when it is written as JSON', () => {
    expect(readPack(JSON.stringify(parse(good)), 'pack.json').pack).toEqual(pack);
  });

  test('is plain data', () => {
    expect(JSON.parse(JSON.stringify(pack))).toEqual(pack);
  });
});

describe('hostile text', () => {
  const tooMuch: [string, string, string[]][] = [
    ['10,000 brackets', '['.repeat(10_000), ['too-deep']],
    ['as many brackets as fit', '['.repeat(packCaps.bytes), ['too-deep']],
    ['10,000 mappings in one another', '{a: '.repeat(10_000), ['too-deep']],
    ['100,000 dashes', '- '.repeat(100_000), ['too-deep']],
    ['20,000 question marks', '? '.repeat(20_000), ['too-deep']],
    ['deep indentation', Array.from({ length: 300 }, (_, at) => `${' '.repeat(at)}a:`).join('\n'), ['too-deep']],
    ['over the cap', `title: ${'x'.repeat(packCaps.bytes)}`, ['too-large']],
    ['over the cap in two-byte letters', `title: ${'é'.repeat(packCaps.bytes / 2)}`, ['too-large']],
    ['a value within itself', 'title: &a [*a]', ['too-deep']],
    ['a value within itself, twice', 'title: &a [*a, *a]', ['too-deep']],
    [
      'aliases of aliases',
      `a0: &a0 [x, x]\n${Array.from({ length: 40 }, (_, at) => `a${at + 1}: &a${at + 1} [*a${at}, *a${at}]`).join('\n')}`,
      ['too-large'],
    ],
    ['too many aliases', `a: &a x\nb: [${'*a, '.repeat(packCaps.aliases + 1)}]`, ['too-large']],
    ['quotes', '"'.repeat(packCaps.bytes), ['too-large']],
    ['pairs of brackets', '[]'.repeat(packCaps.bytes / 2), ['too-large']],
    ['closing brackets', ']'.repeat(packCaps.bytes), ['too-large']],
    ['40,000 keys', Array.from({ length: 40_000 }, (_, at) => `k${at}:`).join('\n'), ['too-large']],
    ['an alias of nothing', 'title: *nowhere', ['bad-yaml']],
  ];
  test.each(tooMuch)('%s', (_what, text, codes) => {
    expect(codesOf(text)).toEqual(codes);
  });

  test.each(['', '# nothing\n', 'null', '3', '"text"', '\u0000', '\ufeff', '%YAML 9.9\n---\na: 1', '--- !!set {a}'])(
    'no pack in %j, and no crash',
    (text) => {
      expect(readPack(text, 'pack.yaml')).toMatchObject({ diagnostics: expect.arrayContaining([expect.anything()]) });
    },
  );

  test('a text that is too long', () => {
    const text = good.replace('title: Developed by sight', `title: ${'{a}'.repeat(50_000)}`);
    expect(codesOf(text)).toEqual(['too-large']);
  });

  test('more faults than anyone reads', () => {
    const codes = codesOf(Array.from({ length: 5_000 }, (_, at) => `k${at}: 1`).join('\n'));
    expect(codes).toHaveLength(packCaps.faults + 1);
    expect(codes).toContain('too-many');
  });

  test('names of the language of this program are ordinary names', () => {
    for (const name of ['__proto__', 'constructor', 'toString', 'hasOwnProperty']) {
      expect(codesOf(`${name}: 1`)).toContain('unknown-field');
      expect(codesOf(good.replace('of: run.developer.time', `of: ${name}`))).toContain('unknown-fact');
      expect(codesOf(good.replace('count: 3', `${name}: { polluted: true }`))).toContain('unknown-field');
      expect(codesOf(good.replace('on: film.processed', `on: ${name}`))).toContain('unknown-event');
      expect(codesOf(good.replace('operator: below', `operator: ${name}`))).toContain('unknown-operator');
    }
    expect(({} as Record<string, unknown>).polluted).toBeUndefined();
  });

  test('a pack comes out exactly when there is no fault, whatever is done to the text', () => {
    const lines = good.split('\n');
    const piece = fc.constantFrom(
      '',
      '[',
      '}',
      ': ',
      '- ',
      '&a ',
      '*a',
      '"',
      "'",
      '#',
      'null',
      '-1',
      '1e999',
      '~',
      '\t',
      'é',
      '{ a: 1 }',
      '[[',
      '0x1F',
    );
    let broken = 0;
    fc.assert(
      fc.property(
        fc.nat(good.length),
        fc.nat(12),
        piece,
        fc.nat(lines.length - 1),
        fc.boolean(),
        (at, cut, put, line, drop) => {
          const text = drop
            ? lines.filter((_, index) => index !== line).join('\n')
            : good.slice(0, at) + put + good.slice(at + cut);
          const read = readPack(text, 'pack.yaml');
          if (read.pack === undefined) broken += 1;
          expect(read.pack === undefined).toBe(read.diagnostics.length > 0);
          const length = text.split('\n').length;
          for (const { line: row, column, message } of [...read.diagnostics, ...checkPacks([read])]) {
            expect(row >= 1 && row <= length && column >= 1).toBe(true);
            expect(message).toMatch(/[.?]$/);
          }
        },
      ),
      { numRuns: 250 },
    );
    expect(broken).toBeGreaterThan(60);
  });
});

describe('the fact catalogue', () => {
  test('every fact is supplied by events that exist', () => {
    for (const fact of facts.values()) {
      expect(fact.fedBy.length).toBeGreaterThan(0);
      for (const type of fact.fedBy) expect([fact.name, type, isEventType(type)]).toEqual([fact.name, type, true]);
    }
  });

  test('L19: a fact that no event supplies does not load', () => {
    const { source } = parseSource('film.mood', 'pack.yaml');
    if (source === undefined) throw new Error('The text did not parse.');
    const reading = new Reading(source);
    const read = factNamed(new Map([['film.mood', { name: 'film.mood', kind: 'text', meaning: 'mood', fedBy: [] }]]));
    expect(read(reading.root())).toBeUndefined();
    expect(reading.diagnostics.map((each) => each.code)).toEqual(['not-evaluable-ever']);
  });
});

describe('between packs', () => {
  const other = (body: string) =>
    readPack(
      `pack: us-xx/other\nversion: 1.0.0\ntitle: Other\nauthority: nobody\nlayer: practice\ncitation: { text: none, read: practice }\n${body}`,
      'other.yaml',
    );
  const whole = readPack(good, 'whole.good.yaml');
  const across = (body: string) => checkPacks([whole, other(body)]).map(({ file, code, line }) => [file, code, line]);

  test('limits and charts of another pack are known', () => {
    expect(
      across(
        'limits: [{ id: development-time-min, of: run.developer.time, min: { chart: us-xx/manual-chart }, severity: warning }]',
      ),
    ).toEqual([]);
  });

  test('a chart of another dimension, and a chart defined twice', () => {
    expect(
      across(
        'limits: [{ id: x, of: run.developer.temperature, min: { chart: us-xx/manual-chart }, severity: warning }]',
      ),
    ).toEqual([
      ['other.yaml', 'unit-mismatch', 7],
      ['other.yaml', 'limit-unjudged', 7],
    ]);
    expect(
      across(
        'charts: [{ id: us-xx/manual-chart, title: A, answers: development-time-min, by: run.developer.temperature, gives: run.developer.time, units: { by: Cel, gives: s }, rows: [[20, 300]] }]',
      ),
    ).toEqual([['other.yaml', 'duplicate-id', 7]]);
  });

  describe('limits told to do nothing, or not to be kept together, and where', () => {
    const pack = (id: string, layer: string, more: string, limit: string) =>
      readPack(
        `pack: ${id}\nversion: 1.0.0\ntitle: T\nauthority: A\nlayer: ${layer}\n${more}citation: { text: 'Code ${id}', read: text }\nlimits: [{ id: films, of: run.films, ${limit} }]\n`,
        `${id}.yaml`,
      );
    const law = (id: string, more: string) => pack(id, 'state', more, 'max: 10, severity: law');
    const told = (...reads: ReturnType<typeof readPack>[]) =>
      checkPacks(reads).flatMap(({ code, message }) => {
        const words = /(?:has no effect|cannot be kept)[^:]*/.exec(message)?.[0];
        return words === undefined ? [] : [`${code} ${words}`];
      });
    const looser = (more = '') => pack('office/own', 'clinic', more, 'max: 12, severity: warning');
    const above = (more = '') => pack('office/own', 'clinic', more, 'min: 11, severity: warning');

    test.each([
      ['of the same place', 'jurisdiction: us-aa\n', 'jurisdiction: us-aa\n', ''],
      ['of no place', '', 'jurisdiction: us-aa\n', ''],
      // A site that lists the county alone is not under the state's pack.
      ['of the state', 'jurisdiction: us-aa\n', 'jurisdiction: us-aa-b\n', ' at a site that lists us-aa'],
      ['of some state', 'jurisdiction: us-aa\n', '', ' at a site that lists us-aa'],
      ['that has ended', 'jurisdiction: us-aa\nto: 2020-12-31\n', '', ' at a site that lists us-aa until 2020-12-31'],
      ['that begins', 'from: 2030-01-01\n', '', ' from 2030-01-01'],
      ['that began before', 'from: 2010-01-01\n', 'from: 2020-01-01\n', ''],
    ])("an office's own beside a law %s", (_what, theirs, own, where) => {
      expect(told(law('us-aa/law', theirs), looser(own))).toEqual([`no-effect has no effect${where}`]);
      expect(told(law('us-aa/law', theirs), above(own))).toEqual([`limits-conflict cannot be kept${where}`]);
    });
    test.each([
      ['of another state', 'jurisdiction: us-aa\n', 'jurisdiction: us-bb\n'],
      ['that ended before it began', 'to: 2020-12-31\n', 'from: 2021-01-01\n'],
    ])('nothing beside a law %s', (_what, theirs, own) => {
      expect(told(law('us-aa/law', theirs), looser(own))).toEqual([]);
      expect(told(law('us-aa/law', theirs), above(own))).toEqual([]);
    });
  });

  test('a limit that nothing judges is told only where all rules are known', () => {
    const slip = other('limits: [{ id: chemistry-ages, of: chemistry.age, max: 10 d, severity: advice }]');
    const codes = (...reads: ReturnType<typeof readPack>[]) =>
      checkPacks(reads).map(({ code, nearest }) => [code, nearest]);
    expect(codes(whole, slip)).toEqual([['limit-unjudged', 'chemistry-age']]);
    expect(codes(slip)).toEqual([]);
    const unread = readPack(`${good}\nwrong: here\n`, 'whole.good.yaml');
    expect(unread.pack).toBeUndefined();
    const right = other('limits: [{ id: chemistry-age, of: chemistry.age, max: 10 d, severity: advice }]');
    expect(codes(unread, right)).toEqual([]);
  });

  test('two charts of one pack that cannot both be kept', () => {
    const chart = (name: string, time: number) =>
      `{ id: office/${name}, title: C, answers: time, by: run.developer.temperature, gives: run.developer.time, units: { by: Cel, gives: min }, rows: [[20, ${time}]] }`;
    const read = (least: number) =>
      readPack(
        `pack: office/own\nversion: 1.0.0\ntitle: T\nauthority: A\nlayer: clinic\ncitation: { text: c, read: practice }\ncharts: [${chart('least', least)}, ${chart('most', 4)}]\nlimits:\n  - { id: time, of: run.developer.time, min: { chart: office/least }, severity: warning }\n  - { id: time, of: run.developer.time, max: { chart: office/most }, severity: warning }\n`,
        'own.yaml',
      );
    expect(checkPacks([read(5)]).map(({ code, line }) => [code, line])).toEqual([['limits-conflict', 10]]);
    expect(checkPacks([read(4)])).toEqual([]);
  });

  test('a limit that bounds different things in two packs', () => {
    expect(
      across('limits: [{ id: chemistry-age, of: run.developer.time, max: 5 min, severity: warning }]'),
    ).toContainEqual(['other.yaml', 'unit-mismatch', 7]);
  });

  test('versions of a pack take turns', () => {
    const version = (text: string, file: string) =>
      readPack(`pack: us-xx/other\ntitle: Other\nauthority: nobody\nlayer: practice\n${text}`, file);
    const old = version('version: 1.0.0\nto: 2025-12-31', 'old.yaml');
    expect(checkPacks([old, version('version: 2.0.0\nfrom: 2026-01-01', 'new.yaml')])).toEqual([]);
    expect(checkPacks([old, version('version: 2.0.0\nfrom: 2025-12-31', 'new.yaml')])).toMatchObject([
      { file: 'new.yaml', code: 'duplicate-id' },
    ]);
  });

  test('one pack says a limit once for the same lines, side and severity', () => {
    const body = (second: string) =>
      `limits: [{ id: x, of: run.films, max: 3, severity: advice }, { id: x, of: run.films, ${second} }]`;
    const codes = (second: string) => other(body(second)).diagnostics.map(({ code, column }) => [code, column]);
    expect(codes('max: 4, severity: advice')).toEqual([['duplicate-id', 68]]);
    expect(codes('max: 4, severity: warning')).toEqual([]);
    expect(codes('min: 1, severity: advice')).toEqual([]);
    expect(codes('max: 4, severity: advice, for: { method: manual }')).toEqual([]);
  });

  test('the same pack and version twice', () => {
    expect(checkPacks([whole, { ...whole, file: 'copy.yaml' }]).map(({ file, code }) => [file, code])).toContainEqual([
      'copy.yaml',
      'duplicate-id',
    ]);
  });
});
