import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import { Organisations } from '../../src/ledger/organisations.js';
import { trialSeen } from '../../src/ledger/trial-token.js';
import { PackBook } from '../../src/packs/book.js';
import { readPack } from '../../src/packs/reader/index.js';
import { formatDiagnostic } from '../../src/packs/reader/index.js';
import { shipped } from '../scenarios/stage.js';
import { testDatabases } from '../support/database.js';
import { type ApiUnderTest, configureOffice, event, startApi } from './server.js';

const tests = `tests:
      - { name: far off, kind: fires, events: [{ stepwedge.read: { at: '2026-03-02T08:00', line: M1, difference: { steps: 2, direction: lighter } } }], expect: [{ severity: warning }] }
      - { name: as the reference, kind: silent, events: [{ stepwedge.read: { at: '2026-03-02T08:00', line: M1, difference: { steps: 0 } } }] }
      - { name: one step, kind: boundary, events: [{ stepwedge.read: { at: '2026-03-02T08:00', line: M1, difference: { steps: 1, direction: lighter } } }], expect: [] }`;

/** A stricter strip, and a check of what nobody ever recorded. */
const own = (steps = 1, kind = 'greaterThan') => `pack: clinic/own
version: 1.0.0
title: Our own
authority: The office
layer: practice
citation: { text: house rule, read: practice }
checks:
  - id: strip
    title: Strip off
    on: [stepwedge.read]
    about: line
    when: { fact: wedge.steps, operator: ${kind}, value: ${steps} }
    severity: warning
    say: 'Strip {wedge.steps} steps off'
    ${tests}
`;
const unheard = own().replace('wedge.steps, operator: greaterThan', 'fixer.clearingRatio, operator: greaterThan');

const embedded = testDatabases().find(({ name }) => name === 'embedded');
let api: ApiUnderTest;
const strips: string[] = [];
beforeAll(async () => {
  if (embedded === undefined) throw new Error('There is no embedded database.');
  api = await startApi(embedded.open);
  for (const site of ['brackenfold', 'ostermoor']) {
    await configureOffice(api, site);
    for (let week = 0; week < 5; week++) {
      const time = new Date(Date.parse('2026-02-02T16:00:00Z') + week * 7 * 86_400_000).toISOString();
      const steps = week % 2 === 0 ? 2 : 0;
      const difference = steps === 0 ? { steps } : { steps, direction: 'lighter' };
      const sent = event('stepwedge.read', { line: 'M1', difference }, { time, site });
      if (steps > 0) strips.push(String(sent['id']));
      await api.send(sent).expect(202);
    }
  }
}, 120_000);
afterAll(() => api.close());

async function keyWith(scopes: string[], sites?: string[]): Promise<string> {
  const { body } = await api.post('/v1/keys', { name: 'bounded', scopes, ...(sites ? { sites } : {}) }).expect(201);
  return (body as { secret: string }).secret;
}
const ask = (path: string, body: object, key: string) =>
  api.raw.post(path).set('Authorization', `Bearer ${key}`).send(body);

describe('POST /v1/what-if', () => {
  test('says what comes, by rule and site, with the events behind it, and what that asks of people', async () => {
    const before = await api.get('/v1/findings');
    const { body } = await api.post('/v1/what-if', { packs: [own()] }).expect(200);
    expect(body).toMatchObject({
      sites: 2,
      counts: { added: 6, removed: 0, changed: 0 },
      byRule: [{ rule: 'clinic/own/strip', added: 6, removed: 0, changed: 0, differs: {} }],
      unprovable: [],
      attention: { offices: 2, overBudget: false },
      failed: [],
      warnings: [],
    });
    expect(body.bySite.map(({ site, added }: { site: string; added: number }) => [site, added])).toEqual([
      ['brackenfold', 3],
      ['ostermoor', 3],
    ]);
    const [first] = body.added;
    expect(first).toMatchObject({
      ...{ site: 'brackenfold', rule: 'clinic/own/strip', severity: 'warning', state: 'cleared' },
      ...{ opened: '2026-02-02T16:00:00.000Z', closed: '2026-02-09T16:00:00.000Z', message: 'Strip 2 steps off' },
    });
    expect(strips).toContain(first.evidence[0].id);
    // Three cards in nine weeks of history at each office.
    expect(body.attention.cardsPerWeek.before).toBe(0);
    expect(body.attention.cardsPerWeek.after).toBeCloseTo(3 / body.attention.weeks, 1);
    expect((await api.get('/v1/findings')).body).toEqual(before.body);
  });

  test('the token of a whole trial proves it, of these packs beside these, and nothing else does', async () => {
    const organisations = new Organisations(api.database);
    const { body } = await api.post('/v1/what-if', { packs: [own()] }).expect(200);
    const { pack } = readPack(own(), 'own.yaml');
    const other = readPack(own(0), 'own.yaml').pack;
    if (pack === undefined || other === undefined) throw new Error('not a pack');
    const seen = (packs = [pack], book = shipped.hash, token = body.trial as string, of = 'main') =>
      trialSeen(organisations, of, { packs, book }, Date.parse('2026-03-11T19:00:00Z'), token);
    expect(await seen()).toEqual({ overBudget: false });
    expect(await seen([other])).toBeUndefined();
    expect(await seen([pack, other])).toBeUndefined();
    expect(await seen([pack], new PackBook([]).hash)).toBeUndefined();
    expect(await seen([pack], shipped.hash, 'x')).toBeUndefined();
    await organisations.create('elsewhere', 'Elsewhere');
    expect(await seen([pack], shipped.hash, body.trial, 'elsewhere')).toBeUndefined();
    for (const narrowed of [
      { sites: ['ostermoor'] },
      { to: '2026-03-01T00:00:00Z' },
      { from: '2026-03-01T00:00:00Z' },
    ]) {
      const { body: part } = await api.post('/v1/what-if', { packs: [own()], ...narrowed }).expect(200);
      expect(part.trial).toBeNull();
    }
  });

  test('what the history cannot show is told, with what to send', async () => {
    const { body } = await api.post('/v1/what-if', { packs: [unheard] }).expect(200);
    expect(body.counts).toEqual({ added: 0, removed: 0, changed: 0 });
    expect(body.unprovable).toMatchObject([
      {
        ...{ rule: 'clinic/own/strip', why: 'notEvaluable', sites: 2, asked: 10 },
        missing: [{ fact: 'fixer.clearingRatio', send: ['fixer.cleared'] }],
      },
    ]);
    const never = own()
      .replace('on: [stepwedge.read]', 'on: [testfilm.read]')
      .replace('wedge.steps, operator', 'fixer.clearingRatio, operator');
    const { body: deaf } = await api.post('/v1/what-if', { packs: [never] }).expect(200);
    expect(deaf.unprovable).toMatchObject([{ why: 'noEvent', sites: 2, asked: 0, send: ['testfilm.read'] }]);
  });

  test('from, to and sites narrow it; what cannot be is refused', async () => {
    const from = '2026-02-20T00:00:00Z';
    const { body } = await api.post('/v1/what-if', { packs: [own()], sites: ['ostermoor'], from }).expect(200);
    expect(body).toMatchObject({ sites: 1, counts: { added: 1 }, from: '2026-02-20T00:00:00.000Z' });
    const refused = async (status: number, code: string, more: object) =>
      expect((await api.post('/v1/what-if', { packs: [own()], ...more })).body).toMatchObject({ status, code });
    await refused(404, 'unknown-site', { sites: ['nowhere'] });
    await refused(422, 'invalid-body', { to: '2027-01-01T00:00:00Z' });
    await refused(422, 'invalid-body', { from: '2026-03-01T00:00:00Z', to: '2026-02-01T00:00:00Z' });
    await refused(422, 'invalid-body', { packs: [] });
    await refused(422, 'invalid-body', { packs: Array.from({ length: 21 }, () => own()) });
    await refused(422, 'invalid-body', { packz: [] });
  });

  test('faults of the packs are all told, as the command tells them', async () => {
    const text = own()
      .replace('layer: practice', 'layer: practise')
      .replace('operator: greaterThan', 'operator: greater');
    const { body } = await api.post('/v1/what-if', { packs: [own(), text] }).expect(422);
    expect(body.code).toBe('pack-faults');
    const { diagnostics } = readPack(text, 'packs/1');
    expect(diagnostics.length).toBeGreaterThan(1);
    expect(body.diagnostics.map(({ shown }: { shown: string }) => shown)).toEqual(
      diagnostics.map((each) => formatDiagnostic(each, text)),
    );
  });

  test('a key keeps to its sites and its scopes', async () => {
    const bound = await keyWith(['packs:write', 'findings:read'], ['ostermoor', 'not-yet-there']);
    const { body } = await ask('/v1/what-if', { packs: [own()] }, bound).expect(200);
    expect(body).toMatchObject({ sites: 1, bySite: [{ site: 'ostermoor' }], trial: null });
    await ask('/v1/what-if', { packs: [own()], sites: ['brackenfold'] }, bound).expect(403);
    await ask('/v1/what-if', { packs: [own()] }, await keyWith(['packs:write'])).expect(403);
    await ask('/v1/what-if', { packs: [own()] }, await keyWith(['findings:read'])).expect(403);
  });

  test('one at a time, and the turn is given back', async () => {
    const both = await Promise.all([1, 2, 3].map(() => api.post('/v1/what-if', { packs: [own()] })));
    const busy = both.filter(({ status }) => status === 429);
    expect(both.filter(({ status }) => status === 200).length).toBeGreaterThan(0);
    expect(busy.length).toBeGreaterThan(0);
    expect(busy[0]?.headers['retry-after']).toBe('5');
    expect(busy[0]?.body).toMatchObject({ code: 'rate-limited' });

    for (let wait = 0; ; wait++) {
      const { status } = await api.post('/v1/what-if', { packs: [own()] });
      if (status === 200) break;
      expect([status, wait < 100]).toEqual([429, true]);
    }
  });
});

describe('POST /v1/pack-check', () => {
  test('a sound pack is sound, and its tests have run', async () => {
    const { body } = await api.post('/v1/pack-check', { packs: [own()] }).expect(200);
    expect(body).toEqual({
      sound: true,
      packs: [{ file: 'packs/0', id: 'clinic/own', version: '1.0.0' }],
      diagnostics: [],
      tests: { run: 3, left: 0, failed: [] },
    });
  });

  test('a test that fails says what came', async () => {
    const { body } = await api.post('/v1/pack-check', { packs: [own(0)] }).expect(200);
    expect(body).toMatchObject({ sound: false, diagnostics: [], tests: { run: 3, left: 0 } });
    expect(body.tests.failed).toMatchObject([{ rule: 'clinic/own/strip', test: 'one step', kind: 'boundary' }]);
  });

  test('faults are a good answer; a shipped pack may be checked in its own place', async () => {
    const { body } = await api.post('/v1/pack-check', { packs: ['pack: clinic/own\nlayer: clinc\n'] }).expect(200);
    expect(body).toMatchObject({ sound: false, packs: [{ file: 'packs/0' }], tests: { run: 0 } });
    expect(body.diagnostics).toContainEqual(
      expect.objectContaining({ ...{ code: 'unknown-word', line: 2, column: 8 }, nearest: 'clinic' }),
    );
    const { text: wedge } = await api.get('/v1/packs/common/wedge').set('Accept', 'application/yaml').buffer(true);
    const { body: same } = await api.post('/v1/pack-check', { packs: [wedge] }).expect(200);
    expect(same).toMatchObject({ sound: true, packs: [{ id: 'common/wedge' }], diagnostics: [] });
    expect((await api.get('/v1/packs')).body.items.some(({ id }: { id: string }) => id === 'clinic/own')).toBe(false);
  });

  test('texts that try something', async () => {
    const bomb = `a: &a [${'x,'.repeat(50)}]\n${Array.from({ length: 20 }, (_, n) => `b${n}: [${'*a,'.repeat(50)}]`).join('\n')}`;
    for (const text of [bomb, '{"__proto__": {"x": 1}}', 'x'.repeat(300_000), '\u0000', '- '.repeat(5000)]) {
      const { status, body } = await api.post('/v1/pack-check', { packs: [text] });
      expect([status, body.sound]).toEqual([200, false]);
      expect(body.diagnostics.length).toBeGreaterThan(0);
    }
  });
});

describe('beside what the organisation has published', () => {
  test('the published text is the present one, from its instant on; the token of a trial before is void', async () => {
    const { body: earlier } = await api.post('/v1/what-if', { packs: [own()] }).expect(200);
    await api.putText('/v1/packs/clinic/own', own()).expect(201);
    const { body: since } = await api
      .post('/v1/what-if', { packs: [own()], from: '2026-03-11T12:00:00-07:00' })
      .expect(200);
    expect(since.counts).toEqual({ added: 0, removed: 0, changed: 0 });
    const { body: always } = await api.post('/v1/what-if', { packs: [own()] }).expect(200);
    expect(always.counts).toEqual(earlier.counts);
    expect(always.trial).toMatch(/^ever_[\w-]{43}$/);
    expect(always.trial).not.toBe(earlier.trial);
    const { body: checked } = await api.post('/v1/pack-check', { packs: [own()] }).expect(200);
    expect(checked).toMatchObject({ sound: true, diagnostics: [] });
  });
});
