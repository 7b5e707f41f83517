import { readFile } from 'node:fs/promises';
import { describe, expect, test } from '@jest/globals';
import { Ajv } from 'ajv';
import { parse } from 'yaml';
import { PackBook } from '../../src/packs/book.js';
import { loadPacks } from '../../src/packs/load.js';
import { checkPacks, formatDiagnostic, readPack, type PackRead } from '../../src/packs/reader/index.js';
import { packSchema } from '../../src/packs/schema.js';
import { bareState, explain } from '../../src/trials/explain.js';
import { runRuleTests } from '../../src/trials/rule-tests.js';

/** docs/packs.md: what it shows is what happens. */

const page = await readFile('docs/packs.md', 'utf8');
const { packs: shipped, reads } = await loadPacks('rules');
const validate = new Ajv({ strict: false }).compile(packSchema());

interface Block {
  readonly kind: string;
  readonly text: string;
  /** What it begins with, for the name of its test. */
  readonly name: string;
}
const blocks: Block[] = [...page.matchAll(/^```(yaml part|yaml|text)\n([\s\S]*?)^```$/gm)].map(
  ([, kind = '', text = '']) => ({ kind, text, name: /^(?!#)\S.*$/m.exec(text)?.[0].replace(/ +#.*/, '') ?? '' }),
);
const wholes = blocks.filter(({ kind, text }) => kind === 'yaml' && !text.startsWith('tests:'));
const parts = blocks.filter(({ kind }) => kind === 'yaml part');
const commands = blocks.flatMap((block, index) =>
  block.kind === 'text'
    ? [{ ...block, of: blocks.slice(0, index).findLast(({ kind }) => kind === 'yaml')?.text ?? '' }]
    : [],
);

const own = (text: string) => readPack(text, 'own.yaml');
function warningsOf(read: PackRead) {
  return [...read.diagnostics, ...checkPacks([...reads, read]).filter(({ file }) => file === read.file)];
}

test('every example is looked at here', () => {
  expect(wholes.length).toBeGreaterThanOrEqual(7);
  expect(parts.length).toBeGreaterThanOrEqual(3);
  expect(commands.length).toBeGreaterThanOrEqual(6);
  const fences = page.match(/^```/gm)?.length ?? 0;
  const tests = blocks.filter(({ kind, text }) => kind === 'yaml' && text.startsWith('tests:'));
  expect(fences).toBe(2 * (wholes.length + parts.length + commands.length + tests.length));
});

describe('whole packs', () => {
  test.each(wholes)('$name', ({ text }) => {
    const read = own(text);
    expect(warningsOf(read).filter(({ severity }) => severity === 'error')).toEqual([]);
    validate(parse(text));
    expect(validate.errors ?? []).toEqual([]);
    const { pack } = read;
    if (pack === undefined) throw new Error('It was not read.');
    const outcomes = runRuleTests([pack], [...shipped, pack]);
    expect(outcomes.filter(({ failure }) => failure !== undefined)).toEqual([]);
    expect(outcomes.length).toBeGreaterThanOrEqual(3 * pack.rules.length);
  });
});

describe('parts of packs', () => {
  const head =
    'pack: own/part\nversion: 1.0.0\ntitle: A part\nauthority: Nobody\nlayer: practice\ncitation: { text: none, read: practice }\n';
  test.each(parts)('$name', ({ text }) => {
    const read = own(head + text);
    const errors = warningsOf(read).filter(({ severity }) => severity === 'error');
    // A part goes without tests, and its limits may stand in another.
    const left = errors.filter(({ code }) => code !== 'tests-missing' && code !== 'unknown-limit');
    expect(left.map(({ message }) => message)).toEqual([]);
  });
});

test('the parts name every field that the reader knows', () => {
  const { definitions } = packSchema() as { definitions: Record<string, { properties?: Record<string, unknown> }> };
  for (const kind of ['limit', 'chart', 'technique', 'defect', 'clue', 'check', 'duty'])
    for (const field of Object.keys(definitions[kind]?.properties ?? {}))
      expect([kind, field, new RegExp(`\\b${field}:`).test(page)]).toEqual([kind, field, true]);
});

describe('what the commands print', () => {
  test.each(commands)('$name', ({ text, of }) => {
    const [command = '', ...printed] = text.trimEnd().split('\n');
    const read = own(of);
    const { pack } = read;
    if (pack === undefined) throw new Error('The pack above was not read.');
    const words = command.split(' ').slice(3);
    if (words[1] === 'check') {
      const shown = warningsOf(read).map((each) => formatDiagnostic(each));
      expect(shown.join('\n').split('\n')).toEqual(printed);
    } else if (words[1] === 'test') {
      const outcomes = runRuleTests([pack], [...shipped, pack]);
      const failed = outcomes.filter(({ failure }) => failure !== undefined);
      expect([`${outcomes.length} tests of 1 pack, ${failed.length} failed.`]).toEqual(printed);
    } else {
      const option = (name: string) => words[words.indexOf(name) + 1] ?? '';
      const at = Date.parse(`${option('--at')}T12:00:00Z`);
      const book = new PackBook([...shipped, pack]);
      const place = { jurisdictions: option('--jurisdictions').split(','), zone: 'America/New_York', method: 'manual' };
      const told = explain(bareState(place, at, book), at, book, words[2] ?? '');
      const lines = told.flatMap(([heading = '', ...sentences]) => [heading, ...sentences.map((each) => `  ${each}`)]);
      expect(lines).toEqual(printed);
    }
  });
});
