import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import { loadPacks } from '../../src/packs/load.js';
import { packCaps } from '../../src/packs/reader/index.js';

const pack = (id: string, body = '') =>
  `pack: ${id}\nversion: 1.0.0\ntitle: A pack\nauthority: nobody\nlayer: practice\ncitation: { text: none, read: practice }\n${body}`;

describe('loading a folder of packs', () => {
  let folder = '';
  beforeAll(async () => {
    folder = await mkdtemp(path.join(tmpdir(), 'packs-'));
    const files: Record<string, string> = {
      'a.yaml': pack('common/a', 'limits: [{ id: shared, of: run.films, max: 3, severity: advice }]'),
      'us/wa/b.yml': pack('us-wa/b', 'limits: [{ id: shared, of: run.films, max: 3, severity: advice }]'),
      'us/c.yaml': pack('us/c', 'limits: [{ id: own, of: run.films, max: 3 films, severity: advice }]'),
      'us/d.yaml': pack(
        'us/d',
        'charts: [{ id: d, answers: nowhere, title: D, by: run.films, gives: run.films, rows: [[1, 1]] }]',
      ),
      'us/huge.yaml': 'x'.repeat(packCaps.bytes + 10),
      'mounts/full.yaml': 'mounts: []',
      'notes.txt': 'not a pack',
      'pack.schema.json': '{}',
    };
    for (const [name, text] of Object.entries(files)) {
      await mkdir(path.dirname(path.join(folder, name)), { recursive: true });
      await writeFile(path.join(folder, name), text);
    }
  });
  afterAll(() => rm(folder, { recursive: true }));

  test('takes every pack below it and leaves the tables of mounts alone', async () => {
    const { packs, reads, diagnostics } = await loadPacks(folder);
    expect(reads.map((read) => path.basename(read.file))).toEqual(['a.yaml', 'c.yaml', 'd.yaml', 'huge.yaml', 'b.yml']);
    expect(packs.map((each) => each.id)).toEqual(['common/a', 'us-wa/b']);
    expect(diagnostics.map(({ file, code }) => [path.basename(file), code])).toEqual([
      ['c.yaml', 'wrong-type'],
      ['d.yaml', 'unknown-limit'],
      ['huge.yaml', 'too-large'],
    ]);
  });

  test('a folder that is not there is an error of its own', async () => {
    await expect(loadPacks(path.join(folder, 'nowhere'))).rejects.toThrow('ENOENT');
  });
});
