import { readdir, readFile } from 'node:fs/promises';
import { describe, expect, test } from '@jest/globals';
import { Ajv } from 'ajv';
import { parse } from 'yaml';
import { loadPacks } from '../../src/packs/load.js';
import { readPack } from '../../src/packs/reader/index.js';
import { packSchema, packSchemaText } from '../../src/packs/schema.js';

const validate = new Ajv({ strict: false, allErrors: false }).compile(packSchema());
const { texts: shipped } = await loadPacks('rules');
const good = await readFile('tests/packs/whole.good.yaml', 'utf8');
const accepted = await Promise.all(
  (await readdir('tests/packs'))
    .filter((name) => /\.(good|warn)\.yaml$/.test(name))
    .map(async (name) => [name, await readFile(`tests/packs/${name}`, 'utf8')] as const),
);

test.each([...shipped])('%s tells editors where the schema is', (file, text) => {
  const up = '../'.repeat(file.split('/').length - 2);
  expect(text.split('\n', 1)).toEqual([`# yaml-language-server: $schema=${up}pack.schema.json`]);
});

type Part = { properties: Record<string, Part>; definitions?: Record<string, Part>; anyOf?: Part[]; items?: Part };
const schema = packSchema() as unknown as Part;

const oneTest = schema.definitions?.test ?? schema.definitions?.tests?.items;

/** The fields that the reader itself knows, from its own words about an unknown one. */
function fieldsReadAt(text: string, path: string): string[] {
  const found = readPack(text, 'pack.yaml').diagnostics.find((each) => each.path === path);
  return (/ has ([^.]+)\./.exec(found?.message ?? '')?.[1] ?? '').split(/, | or /).sort();
}

describe('the JSON Schema for editors', () => {
  test('is the committed one', async () => {
    expect(await readFile('rules/pack.schema.json', 'utf8')).toBe(packSchemaText());
  });

  test.each([...accepted, ...shipped])('accepts %s', (_file, text) => {
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
    [
      'units',
      schema.definitions?.chart?.properties.units,
      'charts: [{ units: { nonsense: 1 } }]',
      '/charts/0/units/nonsense',
    ],
    [
      'deprecated',
      schema.definitions?.deprecated,
      'limits: [{ deprecated: { nonsense: 1 } }]',
      '/limits/0/deprecated/nonsense',
    ],
    [
      'a rule that is deprecated',
      schema.definitions?.deprecated,
      'checks: [{ deprecated: { nonsense: 1 } }]',
      '/checks/0/deprecated/nonsense',
    ],
    [
      'range',
      schema.definitions?.range?.anyOf?.[1],
      'limits: [{ of: run.films, range: { chart: a, nonsense: 1 } }]',
      '/limits/0/range/nonsense',
    ],
    [
      'bound',
      schema.definitions?.bound?.anyOf?.[2],
      'limits: [{ of: run.films, max: { chart: a, nonsense: 1 } }]',
      '/limits/0/max/nonsense',
    ],
    [
      'every',
      schema.definitions?.duty?.properties.every?.anyOf?.[1],
      'duties: [{ every: { nonsense: 1 } }]',
      '/duties/0/every/nonsense',
    ],
    [
      'say',
      schema.definitions?.say?.anyOf?.[1]?.items,
      'duties: [{ say: [{ nonsense: 1 }] }]',
      '/duties/0/say/0/nonsense',
    ],
    ['a test', schema.definitions?.test, 'duties: [{ tests: [{ nonsense: 1 }] }]', '/duties/0/tests/0/nonsense'],
    [
      'an expected finding',
      oneTest?.properties.expect?.items,
      'duties: [{ tests: [{ expect: [{ nonsense: 1 }] }] }]',
      '/duties/0/tests/0/expect/0/nonsense',
    ],
    ['not known', schema.properties.notKnown?.items, 'notKnown: [{ nonsense: 1 }]', '/notKnown/0/nonsense'],
    ['selector', schema.definitions?.selector, 'limits: [{ for: { nonsense: 1 } }]', '/limits/0/for/nonsense'],
  ])('has the fields that the reader has: %s', (_kind, part, text, path) => {
    expect(Object.keys(part?.properties ?? {}).sort()).toEqual(fieldsReadAt(text, path));
  });
});
