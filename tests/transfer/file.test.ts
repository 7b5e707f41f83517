import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import { createLedger } from '../../src/ledger/context.js';
import { Intake } from '../../src/ledger/intake.js';
import { publish } from '../../src/ledger/publish.js';
import type { Incoming } from '../../src/ledger/results.js';
import { Organisations } from '../../src/ledger/organisations.js';
import { PackBook } from '../../src/packs/book.js';
import { readPack } from '../../src/packs/reader/index.js';
import { Account } from '../../src/transfer/account.js';
import { Seal } from '../../src/transfer/seal.js';
import { exportOrganisation } from '../../src/transfer/export.js';
import { readLines } from '../../src/transfer/read.js';
import { importOrganisation } from '../../src/transfer/import.js';
import { configured, run, strip } from '../ledger/office.js';
import { type TestDatabase, testDatabases } from '../support/database.js';
import { book, content, end, fileOf, importText, packs } from './file.js';

// Where the rows of organisations are kept apart by PostgreSQL itself, if there is one.
const kind = testDatabases().at(-1);
if (kind === undefined) throw new Error('There is no database.');

type Fields = Record<string, unknown> & { kind: string };

let from: TestDatabase;
let to: TestDatabase;
let text: string;
let lines: string[];
let sent: Incoming[];
beforeAll(async () => {
  [from, to] = [await kind.open(), await kind.open()];
  const intake = new Intake(createLedger({ database: from, book, now: () => end }));
  for (const organisation of ['brackenfold', 'tarnsett']) {
    await new Organisations(from).create(organisation, `The office of ${organisation}`);
    const site = `${organisation}-north`;
    const told = [
      configured({ site }),
      run('2026-01-06T10:00:00Z', 3, 71, { site }),
      strip('2026-01-07T08:00:00Z', 4, { site }),
      run('2026-01-08T10:00:00Z', 3, 70, { site }),
    ];
    await intake.accept(organisation, told.slice(0, 3));
    // Back-dated: what is found of the strip is by this text too.
    for (const version of ['1.0.0', '1.0.1']) {
      const own = ownPack(version);
      const { pack } = readPack(own, 'own.yaml');
      if (pack === undefined) throw new Error('The pack has faults.');
      const draft = { pack, text: own, effective: Date.parse('2026-01-02T00:00:00Z'), by: 'key' };
      await publish(intake.ledger, organisation, draft, undefined);
    }
    await intake.accept(organisation, told.slice(3));
    if (organisation === 'tarnsett') sent = told;
  }
  text = (await fileOf(from, 'brackenfold')).text;
  lines = text.trimEnd().split('\n');
});
afterAll(async () => {
  await from.drop();
  await to.drop();
});

function ownPack(version: string): string {
  return `pack: office/strips
version: ${version}
title: Our strips
authority: The office
layer: clinic
citation: { text: our own, read: practice }
limits: [{ id: wedge-steps, of: wedge.steps, max: 1, severity: advice }]
`;
}

/** Why it is refused; nothing of it may have been kept, in any organisation. */
async function refusal(file: string, options = {}, by = book): Promise<string> {
  const before = await to.organisations();
  const error = await importText(to, file, options, by).then(
    () => new Error('it was imported'),
    (reason: unknown) => reason as Error,
  );
  expect(await to.organisations()).toEqual(before);
  expect(error.name).toMatch(/^(TransferError|OrganisationError)$/);
  return error.message;
}

const numberOf = (kind: string, nth = 0): number =>
  lines.flatMap((line, index) => ((JSON.parse(line) as Fields).kind === kind ? [index + 1] : []))[nth] ?? 0;

/** The file by somebody who knows how to seal it. */
function resealed(change: (line: Fields) => Fields | undefined, of = lines): string {
  const seal = new Seal();
  const kept = of.flatMap((line) => {
    const { sum: _, ...fields } = JSON.parse(line) as Fields;
    const changed = change(fields);
    return changed === undefined ? [] : [changed];
  });
  const counts = new Account().counts as Record<string, number>;
  return kept
    .map((line) => {
      if (line.kind !== 'end') counts[line.kind] = (counts[line.kind] ?? 0) + 1;
      return `${seal.write(line.kind === 'end' ? { kind: 'end', counts, sha256: seal.sha256 } : line)}\n`;
    })
    .join('');
}
const edited = (nth: number, change: Record<string, unknown>): string => {
  let number = 0;
  return resealed((line) => (++number === nth ? { ...line, ...change } : line));
};

test('a file makes the same organisation again, which goes on as the first does', async () => {
  const file = await fileOf(from, 'tarnsett');
  await importText(to, file.text, { organisation: 'again' });
  expect(content(await fileOf(to, 'again'))).toEqual(content(file));
  expect(lines.filter((line) => line.includes('"kind":"pack"'))).toHaveLength(2);
  expect(file.text).toContain('"pack":"office/strips"');
  const late = configured({ site: 'tarnsett-north' }, '2026-01-05T05:00:00Z', { name: 'Earlier' });
  const after: unknown[] = [];
  for (const [database, organisation] of [
    [from, 'tarnsett'],
    [to, 'again'],
  ] as const) {
    const intake = new Intake(createLedger({ database, book, now: () => end, spacing: 1 }));
    const { results } = await intake.accept(organisation, [...sent, late]);
    expect(results.map(({ status }) => status)).toEqual([
      'duplicate',
      'duplicate',
      'duplicate',
      'duplicate',
      'accepted',
    ]);
    const { text: grown } = await fileOf(database, organisation);
    // The place in the feed is of the database from here on.
    after.push(
      content({ text: grown.replaceAll(/"xid":"\d+"/g, '"xid":""').replaceAll(/"position":"\d+"/g, '"position":""') }),
    );
  }
  expect(after[1]).toEqual(after[0]);
});

describe('a file is refused at the line at fault', () => {
  test.each([0, 0.3, 0.9])('cut off, with %d of it there', async (share) => {
    expect(await refusal(text.slice(0, text.length * share))).toMatch(
      share === 0 ? /the file is empty/ : /^line \d+: it is cut off: the file is not complete/,
    );
  });

  test('cut off between two lines, or with something after its end', async () => {
    for (const kept of [1, 2, 5, lines.length - 1]) {
      expect(await refusal(`${lines.slice(0, kept).join('\n')}\n`)).toBe(
        `line ${kept}: the file ends here, without its last line: it is not complete`,
      );
    }
    expect(await refusal(`${text}${lines[4]}\n`)).toMatch(new RegExp(`^line ${lines.length + 1}: nothing may follow`));
  });

  test('edited, lost, doubled and swapped lines', async () => {
    const at = numberOf('event', 1);
    const whole = (changed: string[]): string => `${changed.join('\n')}\n`;
    const line = lines[at - 1] ?? '';
    const changes = [
      lines.with(at - 1, line.replace('"count":2', '"count":3')),
      lines.toSpliced(at - 1, 1),
      lines.toSpliced(at - 1, 0, lines[at - 2] ?? ''),
      lines.with(at - 1, lines[at] ?? '').with(at, line),
      lines.with(at - 1, 'no JSON'),
    ];
    for (const changed of changes) {
      expect(changed).not.toEqual(lines);
      expect(await refusal(whole(changed))).toMatch(new RegExp(`^line ${at}: it is not what was written there`));
    }
  });

  test('another version, another kind of file', async () => {
    expect(await refusal(edited(1, { version: 2, release: '9.0.0' }))).toBe(
      'line 1: the file has version 2 of its format; this release reads version 1. It was written by release 9.0.0',
    );
    expect(await refusal('PK\u0003\u0004...\n')).toMatch(/^line 1: this is not a file that stepwedge export/);
  });

  test('lines that do not belong together, though they are sealed', async () => {
    const [event, change, finding, site] = [
      numberOf('event'),
      numberOf('change'),
      numberOf('finding'),
      numberOf('site'),
    ];
    const wrong: [string, RegExp][] = [
      [edited(event, { at: 12 }), new RegExp(`^line ${event}: event \\S+ of pms is not what its hash says`)],
      [edited(event, { type: 'film.sold' }), new RegExp(`^line ${event}: .* film.sold, which this release`)],
      [edited(event, { site: 'elsewhere' }), new RegExp(`^line ${event}: .*must follow the line of that site`)],
      [edited(event, { hush: 1 }), new RegExp(`^line ${event}: .*[Uu]nrecognized key.*hush`)],
      [
        edited(change, { cause: 'late' }),
        new RegExp(`^line ${change}: row 1 of the audit trail .* not what was hashed`),
      ],
      [edited(numberOf('admin'), { actor: 'nobody' }), /^line 3: row 1 of the trail of administration/],
      [
        edited(numberOf('pack'), { content: 'pack: x' }),
        /version 1.0.0 of the pack office\/strips is not what its hash/,
      ],
      [edited(numberOf('pack', 1), { number: 3 }), /is publication 3, but 2 was to follow/],
      [edited(site, { events: 3 }), /has 3 events, but 4 came before/],
      [
        edited(finding, { kind: 'findings' }),
        new RegExp(`^line ${finding}: kind findings is not known; nearest: finding`),
      ],
      [edited(2, { patient_key: '' }), /^line 2: patient_key: /],
      [edited(event, { received_at: 2 ** 70 }), new RegExp(`^line ${event}: received_at: `)],
      [
        resealed((line) => (line.kind === 'organisation' ? undefined : line)),
        /^line 2: a file has one line of the org/,
      ],
      [
        resealed((line) => (line.kind === 'event' && line['rank'] === 0 ? undefined : line)),
        /has 4 events, but 3 came/,
      ],
    ];
    for (const [file, reason] of wrong) expect(await refusal(file)).toMatch(reason);
    const more = lines.toSpliced(event, 0, lines[event - 1] ?? '');
    const twice = resealed((line) => (line.kind === 'site' ? { ...line, events: 5 } : line), more);
    expect(await refusal(twice)).toMatch(/^lines \d+ to \d+: the database refuses them: duplicate key/);
  });

  test('a finding that its events do not give, unless it is to be brought in line', async () => {
    const at = numberOf('finding');
    const { detail } = JSON.parse(lines[at - 1] ?? '') as { detail: Record<string, unknown> };
    const forged = edited(at, { detail: { ...detail, severity: 'advice', state: 'cleared' } });
    expect(await refusal(forged)).toMatch(
      /^site brackenfold-north has findings \(1\) .* would be changed\. .*--rejudge/,
    );
    const without = resealed((line) => (line.kind === 'finding' ? undefined : line));
    expect(await refusal(without)).toMatch(/^site \S+ has findings \(\d+\) .* would be opened/);
    const told = await importText(to, forged, { organisation: 'forged', rejudge: true });
    expect(told.changed).toEqual({ findings: 1, sites: 1 });
  });

  test('other packs than those that judged', async () => {
    const fewer = new PackBook(packs.filter(({ id }) => !id.startsWith('common/')));
    expect(await refusal(text, {}, fewer)).toMatch(/judged by other packs, or by another release.*STEPWEDGE_RULES_DIR/);
    const told = await importText(to, text, { organisation: 'elsewhere', rejudge: true }, fewer);
    expect(told.changed.findings).toBeGreaterThan(0);
  });
});

describe('organisations stay apart', () => {
  test('a file holds one organisation, and makes one that was not there', async () => {
    expect(text).not.toContain('tarnsett');
    await importText(to, text, { organisation: 'here' });
    expect(await refusal(text, { organisation: 'here' })).toMatch(
      /there is an organisation here in this database already/,
    );
    expect(await refusal(text, { organisation: 'not.an.id' })).toMatch(/An organisation's id is/);
    const { text: other } = await fileOf(from, 'tarnsett');
    const before = await fileOf(to, 'here');
    await importText(to, other, { organisation: 'tarnsett' });
    expect((await fileOf(to, 'here')).text).toBe(before.text);
    expect((await fileOf(to, 'tarnsett')).text).not.toContain('brackenfold');
  });

  test('an organisation that is not there, or whose trail was meddled with, is not exported', async () => {
    await expect(fileOf(from, 'nobody')).rejects.toThrow('There is no organisation nobody');
    await from.withOrganisation('tarnsett', (tx) =>
      tx.execute(`update site_head set audit_hash = repeat('0', 64) where organisation = 'tarnsett'`),
    );
    await expect(fileOf(from, 'tarnsett')).rejects.toThrow(/does not hold: the audit trail of site tarnsett-north/);
  });
});

const onPostgresql = kind.name === 'postgresql' ? test : test.skip;
onPostgresql('an export is of one moment, whatever comes in meanwhile', async () => {
  const intake = new Intake(createLedger({ database: from, book, now: () => end }));
  const north = { site: 'brackenfold-north' };
  let begun = (): void => undefined;
  // Begun outside, as by another process: a transaction inside the export's is refused.
  const meanwhile = new Promise<void>((resolve) => (begun = resolve)).then(() =>
    intake.accept('brackenfold', [run('2026-01-09T10:00:00Z', 3, 70, north), configured({ site: 'new' })]),
  );
  let file = '';
  await exportOrganisation(from, 'brackenfold', { release: 'test', now: end }, async (some) => {
    file += some;
    begun();
    await meanwhile;
  });
  expect(file.split('\n').slice(1, -2)).toEqual(lines.slice(1, -1));
  expect((await fileOf(from, 'brackenfold')).told.counts).toMatchObject({ event: 6, site: 2 });
});

test('an import that breaks off in the middle has not happened, and the next one works', async () => {
  async function* breaking(): AsyncGenerator<Buffer> {
    yield Buffer.from(text.slice(0, text.length - 400));
    throw new Error('the disk is gone');
  }
  const ledger = createLedger({ database: to, book, now: () => end });
  const broken = importOrganisation(ledger, readLines(breaking()), { organisation: 'later' });
  await expect(broken).rejects.toThrow('the disk is gone');
  expect(await to.organisations()).not.toContain('later');
  expect(await importText(to, text, { organisation: 'later' })).toMatchObject({ organisation: 'later' });
});
