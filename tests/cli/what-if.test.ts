import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import os from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, expect, jest, test } from '@jest/globals';
import { tryPackFiles } from '../../src/cli/what-if.js';
import { openDatabase } from '../../src/db/open.js';
import { createLedger } from '../../src/ledger/context.js';
import { Intake } from '../../src/ledger/intake.js';
import { Organisations } from '../../src/ledger/organisations.js';
import { configured, strip } from '../ledger/office.js';
import { shipped } from '../scenarios/stage.js';
import { layFolder } from '../support/folder.js';

jest.setTimeout(60_000);

let folder: string;
let wedge: string;
const before = { ...process.env };
const open = () => openDatabase({ dataDir: path.join(folder, 'data') });

beforeAll(async () => {
  folder = await mkdtemp(path.join(os.tmpdir(), 'stepwedge-what-if-'));
  process.env['STEPWEDGE_DATA_DIR'] = path.join(folder, 'data');
  await layFolder(path.join(folder, 'data'));
  const database = await open();
  await new Organisations(database).create('main', 'Main');
  const intake = new Intake(createLedger({ database, book: shipped }));
  for (const site of ['north', 'south'])
    await intake.accept('main', [
      configured({ site }),
      ...['2026-01-06', '2026-01-07', '2026-01-08'].map((date, n) =>
        strip(`${date}T08:00:00Z`, n === 1 ? 1 : 0, { site }),
      ),
    ]);
  await database.close();
  wedge = await readFile(new URL('../../rules/common/wedge.yaml', import.meta.url), 'utf8');
});
afterAll(async () => {
  process.env = before;
  await rm(folder, { recursive: true, force: true });
});

interface Said {
  code: number | Error;
  out: string;
  error: string;
}
/** The command in this process: what it says and answers. */
async function run(text: string, options: Parameters<typeof tryPackFiles>[1] = {}): Promise<Said> {
  const file = path.join(folder, 'tried.yaml');
  await writeFile(file, text);
  let [out, error] = ['', ''];
  const [stdout, stderr] = [process.stdout, process.stderr].map((stream) =>
    jest.spyOn(stream, 'write').mockImplementation((chunk) => {
      if (stream === process.stdout) out += String(chunk);
      else error += String(chunk);
      return true;
    }),
  );
  try {
    const code = await tryPackFiles([file], { to: Date.parse('2026-02-01T00:00:00Z'), ...options }).catch(
      (thrown: Error) => thrown,
    );
    return { code, out, error };
  } finally {
    stdout?.mockRestore();
    stderr?.mockRestore();
  }
}

test('tells what comes, by rule and site, with the event behind it', async () => {
  const { code, out } = await run(wedge.replace('max: 2\n', 'max: 0\n'));
  expect(code).toBe(0);
  expect(out).toContain('8 events of 2 sites up to 2026-02-01 00:00Z, as though the packs had always stood.');
  expect(out).toContain('common/wedge/steps: 2 more');
  expect(out).toMatch(
    / {2}\+ 2026-01-07 08:00Z north M1 standard: Strip 1 step lighter .*\(stepwedge\.read pms\/e-\d+ and 1 more\)/,
  );
  expect(out).toMatch(/north {2}\+1 -0 ~0\nsouth {2}\+1 -0 ~0/);
  expect(out).toMatch(/Holds, which come on top: 0 before, 1 after/);
  // One text against another, neither of which is in force.
  const other = path.join(folder, 'before.yaml');
  await writeFile(other, wedge.replace('max: 2\n', 'max: 0\n'));
  const { out: less } = await run(wedge, { against: other });
  expect(less).toContain('common/wedge/steps: 2 fewer');
  const { out: none } = await run(wedge, { against: 'common/wedge' });
  expect(none).toContain('Nothing would have been found otherwise.');
  const { out: json } = await run(wedge, { site: ['north'], json: true });
  expect(JSON.parse(json)).toMatchObject({ sites: 1, counts: { added: 0, removed: 0, changed: 0 } });
});

test('what cannot be tried is told', async () => {
  expect(await run('pack: x\n')).toMatchObject({
    code: 1,
    out: '',
    error: expect.stringMatching(/tried\.yaml:1:1 error/),
  });
  expect(await run(wedge, { site: ['nowhere'] })).toMatchObject({
    code: 1,
    error: 'Nothing was tried: There is no site nowhere.\n',
  });
  const held = await open();
  const { code } = await run(wedge);
  await held.close();
  expect(String(code)).toMatch(/in use by .* POST \/v1\/what-if/);
});
