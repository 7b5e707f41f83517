import { readFile } from 'node:fs/promises';
import { describe, expect, test } from '@jest/globals';
import { Ajv } from 'ajv';
import { parse } from 'yaml';
import { loadPacks } from '../../src/packs/load.js';
import { readPack } from '../../src/packs/reader/index.js';
import { packSchema, packSchemaText } from '../../src/packs/schema.js';

const validate = new Ajv({ strict: false, allErrors: false }).compile(packSchema());
const { texts: shipped } = await loadPacks('rules');
const good = await readFile('tests/packs/whole.good.yaml', 'utf8');

type Part = { properties: Record<string, unknown>; definitions?: Record<string, Part> };
const schema = packSchema() as unknown as Part;

/** The fields that the reader itself knows, from its own words about an unknown one. */
function fieldsReadAt(text: string, path: string): string[] {
  const found = readPack(text, 'pack.yaml').diagnostics.find((each) => each.path === path);
  return (/ has (.+)\./.exec(found?.message ?? '')?.[1] ?? '').split(/, | or /).sort();
}

describe('the JSON Schema for editors', () => {
  test('is the committed one', async () => {
    expect(await readFile('rules/pack.schema.json', 'utf8')).toBe(packSchemaText());
  });

  test.each([['tests/packs/whole.good.yaml', good], ...shipped] as const)('accepts %s', (_file, text) => {
    validate(parse(text));
    expect(validate.errors ?? []).toEqual([]);
  });

  test.each([
    ['an unknown fact', 'of: run.developer.time', 'of: run.developer.tme'],
    ['an unknown operator', 'operator: below', 'operator: under'],
    ['an unknown unit', 'max: 80 [degF]', 'max: 80 F'],
    ['an unknown event', 'on: [film.processed]', 'on: [film.developed]'],
    ['an unknown field', 'hold: line', 'holds: line'],
  ])('refuses %s', (_what, from, to) => {
    expect(good).toContain(from);
    expect(validate(parse(good.replace(from, to)))).toBe(false);
  });

  test.each([
    ['pack', schema, 'nonsense: 1', '/nonsense'],
    ['limit', schema.definitions?.limit, 'limits: [{ nonsense: 1 }]', '/limits/0/nonsense'],
    ['chart', schema.definitions?.chart, 'charts: [{ nonsense: 1 }]', '/charts/0/nonsense'],
    ['check', schema.definitions?.check, 'checks: [{ nonsense: 1 }]', '/checks/0/nonsense'],
    ['duty', schema.definitions?.duty, 'duties: [{ nonsense: 1 }]', '/duties/0/nonsense'],
    ['test', schema.definitions?.test, 'tests: [{ nonsense: 1 }]', '/tests/0/nonsense'],
    [
      'expected finding',
      (schema.definitions?.test?.properties['expect'] as { items: Part } | undefined)?.items,
      'tests: [{ expect: [{ nonsense: 1 }] }]',
      '/tests/0/expect/0/nonsense',
    ],
    ['citation', schema.definitions?.citation, 'citation: { nonsense: 1 }', '/citation/nonsense'],
    ['selector', schema.definitions?.selector, 'limits: [{ for: { nonsense: 1 } }]', '/limits/0/for/nonsense'],
  ])('has the fields that the reader has: %s', (_kind, part, text, path) => {
    expect(Object.keys(part?.properties ?? {}).sort()).toEqual(fieldsReadAt(text, path));
  });
});
