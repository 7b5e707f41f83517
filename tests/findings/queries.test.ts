import { setTimeout as wait } from 'node:timers/promises';
import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { CursorError, writeCursor } from '../../src/db/cursor.js';
import { verifyAudit } from '../../src/findings/audit.js';
import { type FindingRow, listChanges, listFindings, oneFinding } from '../../src/findings/queries.js';
import { Intake } from '../../src/ledger/intake.js';
import { listEvents, listSites, oneSite } from '../../src/ledger/queries.js';
import { shipped } from '../scenarios/stage.js';
import { describeEachDatabase, type TestDatabase } from '../support/database.js';
import { configured, run, takenBack } from '../ledger/office.js';
import { organisationIn } from '../ledger/stored.js';

describeEachDatabase('queries', (open) => {
  let database: TestDatabase;
  let organisation: string;
  let intake: Intake;

  beforeAll(async () => {
    database = await open();
    organisation = await organisationIn(database);
    intake = new Intake({ database, book: shipped });
    const short = run('2026-01-05T09:00:00Z', 2, 68, { id: 'short' });
    await intake.accept(organisation, [configured(), configured({ site: 'south' }), short]);
    for (let minute = 10; minute < 20; minute++) {
      const site = minute % 2 ? 'north' : 'south';
      await intake.accept(organisation, [run(`2026-01-05T09:${minute}:00Z`, 2 + (minute % 5), 60 + minute, { site })]);
    }
    await intake.accept(organisation, [takenBack('2026-01-05T12:00:00Z', short)]);
  });
  afterAll(() => database.drop());

  async function pages<Item>(
    ask: (cursor: string | undefined) => Promise<{ items: readonly Item[]; next?: string | undefined }>,
  ): Promise<Item[]> {
    const all: Item[] = [];
    for (let cursor: string | undefined, turns = 0; turns < 100; turns++) {
      const page = await ask(cursor);
      all.push(...page.items);
      if (page.next === undefined) return all;
      cursor = page.next;
    }
    throw new Error('the pages do not end');
  }

  test('findings page by opening, latest first, each once, and can be filtered', async () => {
    const list = (filter: Parameters<typeof listFindings>[2], limit = 100) =>
      pages((cursor) => listFindings(database, organisation, filter, { limit, cursor }));
    const whole = await list({});
    expect(whole.length).toBeGreaterThan(5);
    expect(await list({}, 2)).toEqual(whole);
    expect(whole.map(({ finding }) => finding.openedAt)).toEqual(
      whole.map(({ finding }) => finding.openedAt).sort((a, b) => b - a),
    );
    const some = whole[2];
    if (some === undefined) throw new Error('too few');
    const { finding } = some;
    const filters: [Parameters<typeof listFindings>[2], (row: FindingRow) => boolean][] = [
      [{ sites: ['north'] }, (row) => row.site === 'north'],
      [{ sites: [] }, () => false],
      [{ states: ['withdrawn'] }, (row) => row.finding.state === 'withdrawn'],
      [{ states: ['open', 'cleared'] }, (row) => row.finding.state === 'open' || row.finding.state === 'cleared'],
      [{ severities: [finding.severity] }, (row) => row.finding.severity === finding.severity],
      [{ rule: finding.rule }, (row) => row.finding.rule === finding.rule],
      [{ line: 'M1' }, (row) => row.finding.line === 'M1'],
      [{ tube: 'R1' }, (row) => row.finding.tube === 'R1'],
      [{ from: finding.openedAt }, (row) => row.finding.openedAt >= finding.openedAt],
      [
        { to: finding.openedAt, sites: ['south'] },
        (row) => row.finding.openedAt < finding.openedAt && row.site === 'south',
      ],
      [{ rule: 'a\u0000b' }, () => false],
      [{ sites: ['\ud800', 'north'] }, (row) => row.site === 'north'],
    ];
    for (const [filter, fits] of filters) expect([filter, await list(filter, 3)]).toEqual([filter, whole.filter(fits)]);
    expect(whole.some((row) => row.finding.state === 'withdrawn')).toBe(true);
  });

  test('one finding comes with its changes; an unknown one is null', async () => {
    const { items } = await listFindings(database, organisation, { states: ['withdrawn'] }, { limit: 1 });
    const found = await oneFinding(database, organisation, items[0]?.finding.id ?? '');
    const changes = found?.history.map(({ change }) => change) ?? [];
    expect([changes[0], changes.at(-1)]).toEqual(['opened', 'withdrawn']);
    expect(found?.history.map(({ revision }) => revision)).toEqual(changes.map((_, index) => index + 1));
    expect(found?.history.at(-1)?.finding).toEqual(found?.finding);
    expect(await oneFinding(database, organisation, 'nothing')).toBeNull();
  });

  test('a reader of the changes who keeps the highest revision has what is stored', async () => {
    const { items } = await listFindings(database, organisation, {}, { limit: 100 });
    const latest = new Map<string, { revision: number; finding: unknown }>();
    let cursor: string | undefined;
    // The feed waits for every transaction of the server that began before, those of other tests' databases included; who
    // finds nothing new asks again with the same cursor.
    const patience = Date.now() + 20_000;
    for (let more = true; more || (latest.size < items.length && Date.now() < patience);) {
      if (!more) await wait(100);
      const page = await listChanges(database, organisation, {}, { limit: 3, cursor });
      for (const { site, finding, revision } of page.items) {
        const key = `${site} ${finding.id}`;
        if (revision > (latest.get(key)?.revision ?? 0)) latest.set(key, { revision, finding });
      }
      cursor = page.next;
      more = page.more;
    }
    expect(latest).toEqual(
      new Map(items.map(({ site, finding, revision }) => [`${site} ${finding.id}`, { revision, finding }])),
    );
    // Nothing new: the same cursor again, to be asked with later.
    expect(await listChanges(database, organisation, {}, { limit: 3, cursor })).toEqual({
      items: [],
      next: cursor,
      more: false,
    });
  });

  test('events, sites and rejected ones page by cursor', async () => {
    const events = await pages((cursor) => listEvents(database, organisation, {}, { limit: 3, cursor }));
    expect(events).toHaveLength(14);
    expect(new Set(events.map(({ id }) => id)).size).toBe(14);
    const shown = await listEvents(database, organisation, { type: 'film.processed', sites: ['south'] }, { limit: 50 });
    expect(shown.items.map(({ at }) => at)).toEqual(shown.items.map(({ at }) => at).sort());
    // The data are as they were sent, units and all.
    expect(shown.items[0]?.data).toMatchObject({
      developer: { time: { unit: 'min' }, temperature: { unit: '[degF]' } },
    });
    const sites = await pages((cursor) => listSites(database, organisation, undefined, { limit: 1, cursor }));
    expect(sites.map(({ id, events: count, unjudged }) => [id, count, unjudged])).toEqual([
      ['north', 8, null],
      ['south', 6, null],
    ]);
    expect((await listSites(database, organisation, ['south'], { limit: 9 })).items.map(({ id }) => id)).toEqual([
      'south',
    ]);
    expect(await oneSite(database, organisation, 'north')).toEqual(sites[0]);
    expect(await oneSite(database, organisation, 'west')).toBeNull();
  });

  test('a cursor that is not ours is refused, whatever is in it', async () => {
    const cursors = [
      '',
      'x',
      '%',
      writeCursor([]),
      writeCursor([1, 2, 3]),
      writeCursor([1.5, 'a', 'b']),
      writeCursor([2 ** 60, 'a', 'b']),
    ];
    for (const cursor of [...cursors, writeCursor([1, 'a\u0000', 'b']), writeCursor(['9'.repeat(30), 'a', 1])]) {
      await expect(listFindings(database, organisation, {}, { limit: 1, cursor })).rejects.toThrow(CursorError);
      await expect(listChanges(database, organisation, {}, { limit: 1, cursor })).rejects.toThrow(CursorError);
      await expect(listEvents(database, organisation, {}, { limit: 1, cursor })).rejects.toThrow(CursorError);
    }
    const beyond = writeCursor(['north', 0, 99_999, 'a', 'b']);
    expect((await listEvents(database, organisation, {}, { limit: 1, cursor: beyond })).items.length).toBeGreaterThan(
      0,
    );
  });

  test('the audit trail holds; a row that was not written by the ledger breaks it', async () => {
    expect(await verifyAudit(database, organisation, 'south')).toMatchObject({ intact: true });
    const edit = (sql: string) => database.withOrganisation(organisation, (tx) => tx.execute(sql));
    // The application itself may only add.
    await expect(edit("update finding_change set change = 'opened'")).rejects.toThrow(/permission denied/);
    await expect(edit('delete from finding_change')).rejects.toThrow(/permission denied/);
    await edit(
      `insert into finding_change (organisation, site, seq, finding, revision, change, cause, at, content, previous_hash, hash)
       select organisation, site, seq + 1, finding, revision + 1, 'closed', 'live', at, content, hash, 'forged'
       from finding_change where site = 'south' order by seq desc limit 1`,
    );
    const report = await verifyAudit(database, organisation, 'south');
    expect(report).toMatchObject({ intact: false, fault: { seq: report.rows + 1 } });
  });
});
