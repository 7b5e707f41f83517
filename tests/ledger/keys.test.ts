import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { verifyAdminAudit } from '../../src/ledger/admin-audit.js';
import { Keys } from '../../src/ledger/keys.js';
import { OrganisationError, Organisations } from '../../src/ledger/organisations.js';
import { describeEachDatabase, type TestDatabase } from '../support/database.js';
import { organisationIn } from './stored.js';

const grant = { name: 'office', scopes: ['events:write'], sites: ['north'], sources: null };

describeEachDatabase('organisations and keys', (open) => {
  let database: TestDatabase;
  beforeAll(async () => {
    database = await open();
  });
  afterAll(() => database.drop());

  test('a key is found by its token alone; of the secret only a hash is stored', async () => {
    const organisation = await organisationIn(database);
    const keys = new Keys(database);
    const { secret, ...record } = await keys.create(organisation, 'system', grant);
    expect(secret).toMatch(new RegExp(`^sw\\.${organisation}\\.[0-9a-f]{12}\\.[A-Za-z0-9_-]{43}$`));
    expect(await new Keys(database).find(secret)).toEqual(record);
    expect(await keys.list(organisation)).toEqual([record]);
    const rows = await database.withOrganisation(organisation, (tx) => tx.query('select * from api_key'));
    expect(JSON.stringify(rows)).not.toContain(secret.split('.')[3]);
  });

  test('a wrong secret, another organisation, an unknown id and nonsense find nothing', async () => {
    const organisation = await organisationIn(database);
    const other = await organisationIn(database);
    const keys = new Keys(database);
    const { secret, id } = await keys.create(organisation, 'system', grant);
    const wrong = secret.slice(0, -1) + (secret.endsWith('A') ? 'B' : 'A');
    const moved = secret.replace(organisation, other);
    const unknown = secret.replace(id, '0123456789ab');
    for (const token of [
      wrong,
      moved,
      unknown,
      '',
      'sw',
      'sw...',
      `sw.${organisation}.${id}.`,
      'x'.repeat(500),
      "sw.a'b.c.d",
    ]) {
      expect([token, await keys.find(token)]).toEqual([token, null]);
    }
  });

  test('a revoked key is refused at once, and revoking it again says so', async () => {
    const organisation = await organisationIn(database);
    const keys = new Keys(database);
    const { secret, id } = await keys.create(organisation, 'system', grant);
    expect(await keys.find(secret)).not.toBeNull();
    expect(await keys.revoke(organisation, 'key-1', id)).toBe(true);
    expect(await keys.find(secret)).toBeNull();
    expect(await keys.revoke(organisation, 'key-1', id)).toBe(false);
    expect((await keys.list(organisation))[0]?.revokedAt).toEqual(expect.any(Number));
    expect(await verifyAdminAudit(database, organisation)).toEqual({ rows: 3, intact: true });
  });

  test('a given token must be of our form and for its organisation', async () => {
    const organisation = await organisationIn(database);
    const keys = new Keys(database);
    const given = `sw.${organisation}.first.0123456789abcdefghij`;
    await keys.create(organisation, 'system', grant, given);
    expect((await keys.find(given))?.id).toBe('first');
    for (const token of ['secret', 'sw.elsewhere.first.0123456789abcdefghij', `sw.${organisation}.first.short`]) {
      await expect(keys.create(organisation, 'system', grant, token)).rejects.toThrow(RangeError);
    }
  });

  test('keys made at the same time do not fork the chain of administration', async () => {
    const organisation = await organisationIn(database);
    const keys = new Keys(database);
    await Promise.all(Array.from({ length: 8 }, () => keys.create(organisation, 'system', grant)));
    expect(await verifyAdminAudit(database, organisation)).toEqual({ rows: 9, intact: true });
  });

  test('an organisation is made once; its patient hash is its own and lasting', async () => {
    const organisations = new Organisations(database);
    const [mine, other] = [await organisationIn(database), await organisationIn(database)];
    expect(await organisations.create(mine, 'again')).toBe(false);
    await expect(organisations.create('a.b', 'dotted')).rejects.toThrow(OrganisationError);
    await expect(organisations.patientHash('nobody')).rejects.toThrow(OrganisationError);
    const hash = (await organisations.patientHash(mine))('patient-1');
    expect(hash).not.toContain('patient-1');
    expect((await new Organisations(database).patientHash(mine))('patient-1')).toBe(hash);
    expect((await organisations.patientHash(other))('patient-1')).not.toBe(hash);
  });
});
