import { readFile, readdir } from 'node:fs/promises';
import { describe, expect, test } from '@jest/globals';
import { parse, stringify } from 'yaml';
import { hostile } from '../../bench/hostile.js';
import { PackBook } from '../../src/packs/book.js';
import { contentCaps } from '../../src/packs/reader/caps.js';
import { checkPacks, faultCodes, formatDiagnostic, packCaps, readPack } from '../../src/packs/reader/index.js';
import type { Diagnostic, PackRead } from '../../src/packs/reader/index.js';
import { runRuleTests } from '../../src/trials/rule-tests.js';
import { long, patience, seed } from '../oracle/settings.js';
import { mutateText, mutateTree, random, type Random } from './mutate.js';

const cases = long ? 20_000 : 2_000;
/** Of the packs that come through without a fault one in so many is judged by. */
const everyNth = long ? 2 : 10;

const shipped = await filesOf('rules');
const own = await filesOf('tests/packs');
/** Whole packs, and packs with one rule of theirs each: most mutations then meet a rule, and reading is quick. */
const whole = [...shipped, ...own];
const pieces = shipped
  .filter((_, at) => long || at % 3 === Math.abs(seed) % 3)
  .flatMap(({ text }) => inPieces(text).map((piece) => ({ text: piece })));

async function filesOf(folder: string): Promise<{ name: string; text: string }[]> {
  const names = (await readdir(folder, { recursive: true })).filter((name) => name.endsWith('.yaml')).sort();
  return Promise.all(
    names.map(async (name) => ({ name: `${folder}/${name}`, text: await readFile(`${folder}/${name}`, 'utf8') })),
  );
}

interface Written {
  readonly tests?: readonly { readonly kind: string }[];
}

/** A pack cut into packs of one rule with a test of each kind, and the limits and charts of all. */
function inPieces(text: string): string[] {
  const {
    checks = [],
    duties = [],
    ...rest
  } = parse(text) as {
    readonly checks?: readonly Written[];
    readonly duties?: readonly Written[];
  };
  const small = ({ tests = [], ...rule }: Written) => ({
    ...rule,
    tests: ['fires', 'silent', 'boundary'].map((kind) => tests.find((one) => one.kind === kind)),
  });
  return [
    ...checks.map((check) => stringify({ ...rest, checks: [small(check)] })),
    ...duties.map((duty) => stringify({ ...rest, duties: [small(duty)] })),
  ];
}

function mutant(next: Random): string {
  const from = next() < 0.1 ? whole : pieces;
  const { text } = from[Math.floor(next() * from.length)] as { text: string };
  return (next() < 0.5 ? mutateTree(text, next) : undefined) ?? mutateText(text, next);
}

/** What is wrong with a fault as it is told; undefined when nothing is. */
function oddity(text: string, each: Diagnostic, rows: readonly string[]): string | undefined {
  const { code, line, column, endLine = line, endColumn = column, message, path, severity } = each;
  const width = (row: number) => (rows[row - 1] ?? '').length;
  if (!Object.hasOwn(faultCodes, code)) return 'an unknown code';
  if (severity !== 'error' && severity !== 'warning') return 'no severity';
  if (!(Number.isInteger(line) && line >= 1 && line <= rows.length)) return `line ${line} of ${rows.length}`;
  if (!(column >= 1 && column <= width(line) + 1)) return `column ${column} of ${width(line)}`;
  if (!(endLine >= line && endLine <= rows.length)) return `an end in line ${endLine}`;
  if (!(endColumn >= 1 && endColumn <= width(endLine) + 2)) return `an end in column ${endColumn} of ${width(endLine)}`;
  if (endLine === line && endColumn < column) return 'an end before its beginning';
  if (!/[.?]$/.test(message) || message.length > 2_000) return 'no sentence';
  return path === '' || path.startsWith('/') ? undefined : `the path ${path}`;
}

/** A pack is read a few times over, never more: what a step costs is bounded, and so is their number. */
function isBounded(text: string, { steps }: PackRead): boolean {
  const values = text.includes('*') ? packCaps.nodes : Math.min(packCaps.nodes, text.length);
  return steps <= 12 * values + 100;
}

function look(text: string, read: PackRead): void {
  const rows = text.split('\n');
  for (const each of read.diagnostics) {
    const odd = oddity(text, each, rows);
    if (odd !== undefined) throw new Error(`A fault with ${odd}: ${JSON.stringify(each)}`);
  }
  for (const each of read.diagnostics.slice(0, 2)) expect(formatDiagnostic(each, text)).toContain(each.code);
  expect(read.pack === undefined).toBe(read.diagnostics.some(({ severity }) => severity === 'error'));
  expect(read.diagnostics.length).toBeLessThanOrEqual(packCaps.faults + 1);
  expect([isBounded(text, read), read.steps]).toEqual([true, read.steps]);
}

describe('whatever is done to a pack', () => {
  const seen = new Map<string, number>();
  let good = 0;
  let judged = 0;

  test(
    `${cases} mutants: no throw, bounded steps, every fault at a place and with a code; what comes through can be judged by`,
    () => {
      for (let index = 0; index < cases; index++) {
        const next = random(seed + index);
        const text = mutant(next);
        try {
          const read = readPack(text, 'pack.yaml');
          look(text, read);
          for (const { code } of read.diagnostics) seen.set(code, (seen.get(code) ?? 0) + 1);
          for (const each of checkPacks([read])) expect(faultCodes).toHaveProperty(each.code);
          if (read.pack === undefined) continue;
          good += 1;
          if (good % everyNth !== 0) continue;
          judged += 1;
          const { pack } = read;
          const book = new PackBook([pack]);
          expect(
            book.at(Date.parse('2026-03-02T12:00:00Z'), { zone: 'UTC', jurisdictions: ['us'] }).packs.length,
          ).toBeLessThan(2);
          for (const { failure } of runRuleTests([pack])) expect(failure ?? '').not.toMatch(/undefined|\[object/);
        } catch (error) {
          throw new Error(`Mutant ${index} of seed ${seed}: ${String(error)}\n${text.slice(0, 3_000)}`, {
            cause: error,
          });
        }
      }
      // The mutants must be neither all refused nor all harmless, and meet many kinds of faults.
      expect(good).toBeGreaterThan(cases / 20);
      expect(good).toBeLessThan(cases / 2);
      expect(judged).toBeGreaterThan(cases / 20 / everyNth - 1);
      expect(seen.size).toBeGreaterThan(20);
    },
    patience,
  );
});

describe('hostile texts', () => {
  test.each(hostile.map(([name, text]) => ({ name, text })))('$name: refused, in bounded steps', ({ text }) => {
    const read = readPack(text, 'pack.yaml');
    look(text, read);
    expect(read.pack).toBeUndefined();
    expect(checkPacks([read]).length).toBeLessThanOrEqual(2 * packCaps.faults);
  });
});

test('a fault that ends on a later line says which: line ends in what cannot be read count too', () => {
  const text = 'a: [x] "b\n  c\n  d"\ne: f\n';
  expect(readPack(text, 'pack.yaml').diagnostics[0]).toMatchObject({ line: 1, column: 8, endLine: 3, endColumn: 5 });
});

describe('caps of what a pack holds', () => {
  const tests =
    'tests: &t [{ name: a, kind: fires, events: [&e { day.opened: { at: "2026-03-02T08:00", water: true } }], expect: [{}] }, { name: b, kind: silent, events: [*e] }, { name: c, kind: boundary, events: [*e], expect: [] }]';
  const leaf = '{ fact: opening.water, operator: equal, value: false }';
  const check = (id: string, more = tests, when = leaf) =>
    `  - { id: ${id}, title: T, on: day.opened, about: line, when: ${when}, severity: advice, say: s, ${more} }\n`;
  const head =
    'pack: a/b\nversion: 1.0.0\ntitle: T\nauthority: A\nlayer: practice\ncitation: { text: t, read: practice }\n';
  const several = (count: number, one: (index: number) => string, between = '') =>
    Array.from({ length: count }, (_, index) => one(index)).join(between);
  const rules = (count: number) =>
    `${head}checks:\n${check('first')}${several(count - 1, (at) => check(`r${at}`, 'tests: *t'))}`;
  const inTests = (count: number, events: number) =>
    `${head}checks:\n${check('r', `tests: [{ name: a, kind: fires, events: [], expect: [{}] }, { name: c, kind: boundary, events: [], expect: [] }, { name: d, kind: silent, events: &e [${several(events, () => '{ day.opened: { at: "2026-03-02T08:00", water: true } }', ', ')}] }${several(count - 3, () => ', { name: b, kind: silent, events: *e }')}]`)}`;
  const leaves = (count: number) =>
    `${head}checks:\n${check('r', tests, `{ any: [${several(count, () => leaf, ', ')}] }`)}`;
  const groups = (count: number) =>
    `${head}checks:\n${check('r', tests, `${'{ not: '.repeat(count)}${leaf}${' }'.repeat(count)}`)}`;
  const limits = (count: number) =>
    `${head}limits:\n${several(count, (at) => `  - { id: l${at}, of: run.films, max: 3, severity: advice }\n`)}`;
  const codes = (text: string) => readPack(text, 'pack.yaml').diagnostics.map(({ code }) => code);

  test.each([
    ['rules', rules, contentCaps.rules, 'too-large'],
    ['limits', limits, contentCaps.limits, 'too-large'],
    ['comparisons', leaves, contentCaps.leaves, 'too-large'],
    ['groups', groups, contentCaps.groups, 'too-deep'],
    ['tests of a rule', (count: number) => inTests(count, 1), contentCaps.testsOfARule, 'too-large'],
    ['events of a test', (count: number) => inTests(3, count), contentCaps.eventsOfATest, 'too-large'],
  ] as const)('%s: as many as the cap, and not one more', (_what, text, cap, code) => {
    expect(codes(text(cap))).toEqual([]);
    expect(codes(text(cap + 1))).toEqual([code]);
  });

  test('events of all tests together', () => {
    const some = `${inTests(30, 66)}`;
    expect(codes(some)).toEqual([]);
    expect(codes(inTests(30, 72))).toEqual(['too-large']);
  });
});

describe('names of the language this program is written in', () => {
  const piece = `pack: a/b
version: 1.0.0
title: T
authority: A
layer: practice
citation: { text: t, read: practice }
checks:
  - id: a
    title: T
    on: film.processed
    about: run
    when: { fact: run.films, operator: greaterThan, value: 3 }
    severity: advice
    say: 'Films: {count}'
    tests:
      - { name: a, kind: fires, events: [], expect: [{}] }
      - { name: b, kind: silent, events: [] }
      - { name: c, kind: boundary, events: [], expect: [] }
`;
  const names = ['__proto__', 'constructor', 'prototype'];
  test.each(names)('%s is no name in a pack', (name) => {
    const places: [string, string][] = [
      ['id', piece.replace(/^ {2}- id: .*$/m, `  - id: ${name}`)],
      ['pack', piece.replace(/^pack: .*$/m, `pack: ${name}`)],
      ['part of a pack', piece.replace(/^pack: .*$/m, `pack: a/${name}`)],
      ['jurisdiction', `${piece}jurisdiction: ${name}\n`],
      ['product', piece.replace(/^ {4}title:/m, `    for: { product: ${name} }\n    title:`)],
      ['line', piece.replace(/^ {4}title:/m, `    for: { line: [M1, ${name}] }\n    title:`)],
      ['fact', piece.replace(/fact: [\w.]+/, `fact: ${name}`)],
      ['placeholder', piece.replace(/say: .*/, `say: '{${name}}'`)],
      ['limit in words', piece.replace(/say: .*/, `say: '{limit.${name}}'`)],
      ['key', `${piece}${name}: { polluted: true }\n`],
    ];
    for (const [what, text] of places) {
      expect([what, text]).not.toEqual([what, piece]);
      const read = readPack(text, 'pack.yaml');
      const codes = [...read.diagnostics, ...checkPacks([read])].map(({ code }) => code);
      expect([
        what,
        codes.some((code) => ['bad-name', 'unknown-fact', 'unknown-field', 'placeholder-unknown'].includes(code)),
      ]).toEqual([what, true]);
      expect([what, read.pack]).toEqual([what, undefined]);
    }
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined();
    expect(readPack(piece.replace(/title: .*/, `title: The ${name} of a sentence`), 'pack.yaml').diagnostics).toEqual(
      [],
    );
  });
});
