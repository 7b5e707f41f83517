import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import os from 'node:os';
import path from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, jest, test } from '@jest/globals';
import { coverPackFiles } from '../../src/cli/packs-coverage.js';
import { diffPackFiles } from '../../src/cli/packs-diff.js';
import { testPackFiles } from '../../src/cli/packs.js';
import type { PacksDiff } from '../../src/trials/diff/sets.js';
import type { Coverage } from '../../src/trials/coverage.js';

let folder: string;
let out: string;
beforeAll(async () => {
  folder = await mkdtemp(path.join(os.tmpdir(), 'stepwedge-packs-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));
beforeEach(() => {
  out = '';
  jest.spyOn(process.stdout, 'write').mockImplementation((text) => (out += String(text)) !== '');
});
afterEach(() => {
  jest.restoreAllMocks();
});

const clinic = `
pack: own/range
version: 1.0.0
title: Our range
authority: The office
layer: clinic
citation: { text: house rule, read: practice }
limits:
  - { id: developer-temperature, of: developer.temperature, max: '74 [degF]', severity: warning }
tests:
  - name: above
    kind: fires
    rules: common/temperatures/developer-temperature
    clock: '2026-03-02T08:00'
    events: [{ bath.measured: { at: 8:00, line: M1, bath: developer, temperature: '75 [degF]' } }]
    expect: [{ severity: $severity }]
`;
async function own(name: string, text: string): Promise<string> {
  const file = path.join(folder, name);
  await writeFile(file, text);
  return file;
}

describe('packs test', () => {
  test('runs those of the file given, and shows a failure indented below its rule', async () => {
    expect(await testPackFiles([await own('good.yaml', clinic.replace('$severity', 'warning'))])).toBe(0);
    expect(out).toBe('1 test of 1 pack, 0 failed.\n');
    out = '';
    expect(await testPackFiles([await own('good.yaml', clinic.replace('$severity', 'law'))])).toBe(1);
    expect(out).toMatch(/^FAILED {2}common\/temperatures\/developer-temperature: above\n {8} {2}finding 1 /);
    expect(out).toMatch(/\n {8}! severity {3}law {40}warning\n1 test of 1 pack, 1 failed\.\n$/);
  });

  test('a rule without its three kinds of tests is refused before any is run', async () => {
    const text = await readFile('rules/common/chairside.yaml', 'utf8');
    const file = await own(
      'two.yaml',
      text.replace('common/chairside', 'own/chairside').replace('kind: boundary', 'kind: silent'),
    );
    expect(await testPackFiles([file])).toBe(1);
    expect(out).toContain('error tests-missing\nduty fix-chairside has no test of the kind boundary;');
    expect(out).not.toContain('failed.');
  });
});

describe('packs coverage', () => {
  test('as text, as JSON, and held to a least share', async () => {
    const file = await own('clinic.yaml', clinic.replace('$severity', 'warning'));
    expect(await coverPackFiles([file], { least: 50 })).toBe(0);
    expect(out).toContain('limit developer-temperature max 74 F (warning): never met, never not evaluable\n');
    out = '';
    expect(await coverPackFiles([file], { least: 51 })).toBe(1);
    out = '';
    expect(await coverPackFiles([file], { json: true })).toBe(0);
    const { packs, total } = JSON.parse(out) as Coverage;
    expect(total).toEqual({ covered: 1, of: 2 });
    expect(packs.map(({ pack, limits }) => [pack, limits[0]?.broken, limits[0]?.met])).toEqual([
      ['own/range', true, false],
    ]);
  });

  test('of a faulty pack there is none', async () => {
    expect(await coverPackFiles([await own('clinic.yaml', clinic.replace('layer: clinic', 'layer: clinc'))], {})).toBe(
      1,
    );
    expect(out).toContain('Did you mean clinic?');
  });
});

describe('packs diff', () => {
  test('a file against a shipped pack; the code says whether the version follows', async () => {
    const text = await readFile('rules/us/wa/processing.yaml', 'utf8');
    const file = await own('wa.yaml', text.replace('max: 2 mo', 'max: 1 mo'));
    expect(await diffPackFiles('us-wa/processing', file, false)).toBe(1);
    expect(out).toContain('    max  2 months -> 1 month  tighter\n');
    out = '';
    const next = await own(
      'wa.yaml',
      text.replace('max: 2 mo', 'max: 1 mo').replace(/^version: .*$/m, 'version: 1.1.0'),
    );
    expect(await diffPackFiles('us-wa/processing', next, true)).toBe(0);
    const { packs } = JSON.parse(out) as PacksDiff;
    expect(packs[0]?.version).toEqual({ asks: 'minor', proposed: '1.1.0', follows: true });
  });

  test('folders: packs of one id, and those that only one side has', async () => {
    expect(await diffPackFiles('rules', 'rules', false)).toBe(0);
    expect(out).toBe('No difference.\n');
    out = '';
    expect(await diffPackFiles('rules', 'rules/us', false)).toBe(0);
    expect(out).toContain('- pack common/wedge\n');
  });

  test('faults are shown instead; an unknown name is told with the nearest', async () => {
    expect(await diffPackFiles('us-wa/processing', await own('bad.yaml', 'pack: 1'), false)).toBe(1);
    expect(out).toContain('bad.yaml:1:7 error wrong-type');
    await expect(diffPackFiles('us-wa/procesing', 'rules', false)).rejects.toThrow('Did you mean us-wa/processing?');
  });
});
