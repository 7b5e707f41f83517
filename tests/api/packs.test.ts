import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { describeEachDatabase } from '../support/database.js';
import { adminKey, type ApiUnderTest, configureOffice, event, fahrenheit, noon, startApi } from './server.js';

const hour = 3_600_000;

/** The clinic wants its developer colder than common practice does. */
const own = (version: string, warmest: number, more = '') => `# Ours.
pack: brackenfold/baths
version: ${version}
title: Our baths
authority: Brackenfold
layer: clinic
${more}citation: { text: practice manual, read: practice }
limits:
  - id: developer-temperature
    of: developer.temperature
    for: { method: manual, chemistry: standard }
    max: ${warmest} [degF]
    severity: warning
`;

describeEachDatabase('packs', (open) => {
  let api: ApiUnderTest;
  let now = noon;
  beforeAll(async () => {
    api = await startApi(open);
    await configureOffice(api);
  });
  afterAll(() => api.close());

  const put = (text: string, { query = '', etag = '', id = 'brackenfold/baths', key = adminKey } = {}) => {
    const request = api.raw
      .put(`/v1/packs/${id}${query}`)
      .set('Authorization', `Bearer ${key}`)
      .set('Content-Type', 'application/yaml');
    return (etag === '' ? request : request.set('If-Match', etag)).send(text);
  };
  const measured = (temperature: number, at: number) =>
    event(
      'bath.measured',
      { line: 'M1', bath: 'developer', temperature: fahrenheit(temperature) },
      { time: new Date(at).toISOString() },
    );
  const later = (hours: number) => api.setNow((now += hours * hour));
  const open1 = async () =>
    (await api.get('/v1/findings?rule=common/temperatures/developer-temperature').expect(200)).body.items as {
      id: string;
      state: string;
      opened: string;
      packVersion: string;
    }[];

  test('a text is published, judges from then on, and changes nothing before', async () => {
    await api.send([measured(75, noon - hour)]).expect(200);
    const { body, headers } = await put(own('1.0.0', 74)).expect(201);
    expect(body).toMatchObject({
      id: 'brackenfold/baths',
      version: '1.0.0',
      effective: new Date(noon).toISOString(),
      publishedBy: 'STEPWEDGE_ADMIN_KEY',
      isNew: true,
      replay: { sites: 1, pending: [], changed: 0 },
    });
    expect(headers['etag']).toMatch(/^"[0-9a-f]{32}"$/);
    expect(await open1()).toEqual([]);
    later(1);
    const { body: sent } = await api.send([measured(75, now)]).expect(200);
    expect(sent.findings.opened).toHaveLength(1);
    const [finding] = await open1();
    const { body: whole } = await api.get(`/v1/findings/${finding?.id}`).expect(200);
    expect(whole.chain).toEqual(
      expect.arrayContaining([expect.objectContaining({ pack: 'brackenfold/baths', verdict: 'broken', text: '74 F' })]),
    );
  });

  test('the same text again is what it was', async () => {
    const { headers } = await api.get('/v1/packs/brackenfold/baths').expect(200);
    const { body } = await put(own('1.0.0', 74), { etag: headers['etag'] as string }).expect(200);
    expect(body).toMatchObject({ isNew: false, version: '1.0.0', replay: { sites: 0 } });
    // After a lost answer the tag is the old one, or none: it is told what came of it all the same.
    expect((await put(own('1.0.0', 74)).expect(200)).body.isNew).toBe(false);
    expect((await put(own('1.0.0', 74), { etag: '"before"' }).expect(200)).body.isNew).toBe(false);
    const { body: versions } = await api.get('/v1/pack-versions/brackenfold/baths').expect(200);
    expect(versions.items).toHaveLength(1);
  });

  test('two editors do not overwrite one another', async () => {
    const { headers } = await api.get('/v1/packs/brackenfold/baths').expect(200);
    const etag = headers['etag'] as string;
    const unsaid = await put(own('1.1.0', 76)).expect(428);
    expect(unsaid.body).toMatchObject({ code: 'name-what-you-saw', version: '1.0.0', etag });
    const first = await put(own('1.1.0', 76), { etag }).expect(200);
    expect(first.headers['etag']).not.toBe(etag);
    const second = await put(own('1.1.1', 78), { etag }).expect(412);
    expect(second.body).toMatchObject({ code: 'changed-meanwhile', version: '1.1.0', etag: first.headers['etag'] });
    // At the same moment: one of them.
    const both = await Promise.all(
      ['1.2.0', '1.2.1'].map((version) => put(own(version, 76), { etag: first.headers['etag'] as string })),
    );
    const [one, other] = both.map(({ status }) => status).sort();
    // Too late, or told to come again while the first was at it.
    expect([one, [412, 429].includes(other ?? 0)]).toEqual([200, true]);
  });

  test('a back-dated text judges anew from its instant on, and says what that changed', async () => {
    const { headers } = await api.get('/v1/packs/brackenfold/baths').expect(200);
    const query = `?effective=${new Date(noon - 2 * hour).toISOString()}`;
    later(1);
    const { body } = await put(own('2.0.0', 74), { query, etag: headers['etag'] as string }).expect(200);
    // The reading before noon was within the rules of its time; by this text it was not.
    expect(body.replay).toMatchObject({ sites: 1, pending: [] });
    expect(body.replay.changes).toEqual(
      expect.arrayContaining([
        expect.objectContaining({
          change: 'opened',
          site: 'brackenfold',
          rule: 'common/temperatures/developer-temperature',
          opened: new Date(noon - hour).toISOString(),
        }),
      ]),
    );
    const { body: versions } = await api.get('/v1/pack-versions/brackenfold/baths').expect(200);
    expect(versions.items.at(-1)).toMatchObject({
      version: '2.0.0',
      standsFrom: new Date(noon - 2 * hour).toISOString(),
    });
    // What was in force since has given way; it can still be read.
    expect(versions.items.slice(0, -1).every((each: { replaced?: true }) => each.replaced === true)).toBe(true);
    const { text } = await api
      .get('/v1/packs/brackenfold/baths?version=1.0.0')
      .set('Accept', 'application/yaml')
      .expect(200);
    expect(text).toBe(own('1.0.0', 74));
  });

  test('what is still to come is listed, waits for its instant, and stays on the calendar', async () => {
    const then = now + 48 * hour;
    const { headers } = await api.get('/v1/packs/brackenfold/baths').expect(200);
    const query = `?effective=${new Date(then).toISOString()}`;
    const next = await put(own('3.0.0', 80), { query, etag: headers['etag'] as string }).expect(200);
    const { body } = await api.get('/v1/packs').expect(200);
    const rows = (body.items as { id: string; version: string; standsFrom?: string; standsTo?: string }[]).filter(
      ({ id }) => id === 'brackenfold/baths',
    );
    expect(rows.map(({ version, standsTo }) => [version, standsTo])).toEqual([
      ['2.0.0', new Date(then).toISOString()],
      ['3.0.0', undefined],
    ]);
    await put(own('3.1.0', 73), { etag: next.headers['etag'] as string }).expect(200);
    const at = async (instant: number) =>
      (await api.get(`/v1/packs/brackenfold/baths?at=${new Date(instant).toISOString()}`).expect(200)).body.version;
    expect([await at(now), await at(then)]).toEqual(['3.1.0', '3.0.0']);
    const limits = async (instant: number) =>
      (
        (await api.get(`/v1/sites/brackenfold/limits?at=${new Date(instant).toISOString()}`).expect(200)).body
          .items as {
          limit: string;
          chain: { pack: string; max?: { value: number } }[];
        }[]
      )
        .filter(({ limit }) => limit === 'developer-temperature')
        .flatMap(({ chain }) => chain.filter(({ pack }) => pack === 'brackenfold/baths').map(({ max }) => max?.value));
    expect([await limits(now), await limits(then)]).toEqual([[73], [80]]);
  });

  test('what it changed is told to keys that may read findings', async () => {
    const { headers } = await api.get('/v1/packs/brackenfold/baths').expect(200);
    const made = await api.post('/v1/keys', { name: 'editor', scopes: ['packs:write'] }).expect(201);
    const query = `?effective=${new Date(noon - 3 * hour).toISOString()}`;
    const { body } = await put(own('3.2.0', 60), {
      ...{ query, etag: headers['etag'] as string, key: made.body.secret as string },
    }).expect(200);
    expect(body.replay.changed).toBeGreaterThan(0);
    expect(body.replay.changes).toEqual([]);
    expect(body.stillToCome).toMatchObject([{ version: '3.0.0' }]);
  });

  test('a pack that has ended is out of force, and its findings lapse with it', async () => {
    const rule = `pack: brackenfold/round
version: 1.0.0
title: Our round
authority: Brackenfold
layer: clinic
citation: { text: practice manual, read: practice }
checks:
  - id: water
    title: No water in the opening round
    on: [day.opened]
    about: line
    when: { fact: opening.water, operator: equal, value: false }
    severity: advice
    say: 'No water on {line}.'
    tests:
      - { name: dry, kind: fires, events: [{ day.opened: { at: '2026-01-20T08:00', line: M1, water: false } }], expect: [{}] }
      - { name: on, kind: silent, events: [{ day.opened: { at: '2026-01-20T08:00', line: M1, water: true } }], expect: [] }
      - { name: unsaid, kind: boundary, events: [{ day.opened: { at: '2026-01-20T08:00', line: M1 } }], expect: [] }
`;
    const first = await put(rule, { id: 'brackenfold/round' });
    expect([first.status, first.body.diagnostics?.map(({ message }: { message: string }) => message)]).toEqual([
      201,
      undefined,
    ]);
    later(1);
    await api
      .send([event('day.opened', { line: 'M1', water: false }, { time: new Date(now).toISOString() })])
      .expect(200);
    const dry = async () =>
      ((await api.get('/v1/findings?rule=brackenfold/round/water').expect(200)).body.items as { state: string }[]).map(
        ({ state }) => state,
      );
    expect(await dry()).toEqual(['open']);
    const ended = rule.replace('1.0.0', '1.0.1').replace('layer: clinic\n', "layer: clinic\nto: '2026-03-11'\n");
    const { body } = await put(ended, { id: 'brackenfold/round', etag: first.headers['etag'] as string }).expect(200);
    expect(body.version).toBe('1.0.1');
    later(24);
    await api.server.sweep();
    expect(await dry()).toEqual(['lapsed']);
  });
});

describeEachDatabase('a trial before publishing', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open, { trials: 'required' });
    await configureOffice(api);
    // Every working morning of eight weeks, at 72 F.
    const mornings = Array.from({ length: 56 }, (_, day) => noon - (57 - day) * 24 * hour);
    await api
      .send(
        mornings.map((at) =>
          event(
            'bath.measured',
            { line: 'M1', bath: 'developer', temperature: fahrenheit(72 + ((at / hour / 24) % 2 < 1 ? 0 : 6)) },
            { time: new Date(at).toISOString() },
          ),
        ),
      )
      .expect(200);
  });
  afterAll(() => api.close());
  const put = (text: string, query = '') => api.putText(`/v1/packs/brackenfold/baths${query}`, text);
  const tried = async (text: string) =>
    (await api.post('/v1/what-if', { packs: [text] }).expect(200)).body as {
      trial: string;
      attention: { overBudget: boolean; cardsPerWeek: { after: number } };
    };

  test('is asked for, holds for one text, and guards the budget of attention', async () => {
    expect((await put(own('1.0.0', 74)).expect(428)).body.code).toBe('trial-first');
    const calm = await tried(own('1.0.0', 79));
    expect(calm.attention.overBudget).toBe(false);
    expect((await put(own('1.0.0', 74), `?trial=${calm.trial}`).expect(412)).body.code).toBe('trial-outdated');
    // Four weeks prove nothing of what a back-dated text would change before them.
    const from = new Date(noon - 28 * 24 * hour).toISOString();
    const recent = (await api.post('/v1/what-if', { packs: [own('1.0.0', 79)], from }).expect(200)).body as {
      trial: string;
    };
    const early = `?trial=${recent.trial}&effective=${new Date(noon - 40 * 24 * hour).toISOString()}`;
    expect((await put(own('1.0.0', 79), early).expect(412)).body.code).toBe('trial-outdated');
    await put(own('1.0.0', 79), `?trial=${calm.trial}`).expect(201);
    const loud = await tried(own('1.1.0', 74));
    expect(loud.attention.cardsPerWeek.after).toBeGreaterThan(3);
    expect(loud.attention.overBudget).toBe(true);
    const { headers } = await api.get('/v1/packs/brackenfold/baths').expect(200);
    const again = (query: string) => put(own('1.1.0', 74), query).set('If-Match', headers['etag'] as string);
    expect((await again(`?trial=${loud.trial}`).expect(409)).body.code).toBe('over-budget');
    await again(`?trial=${loud.trial}&confirm=over-budget`).expect(200);
    // It was beside the packs before this one.
    const { headers: now } = await api.get('/v1/packs/brackenfold/baths').expect(200);
    const late = put(own('1.2.0', 79), `?trial=${loud.trial}`).set('If-Match', now['etag'] as string);
    expect((await late.expect(412)).body.code).toBe('trial-outdated');
  });
});

describeEachDatabase('what is not published', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open);
  });
  afterAll(() => api.close());
  const put = (text: string | Buffer, id = 'brackenfold/baths', type = 'application/yaml', headers = {}) =>
    api.raw
      .put(`/v1/packs/${id}`)
      .set('Authorization', `Bearer ${adminKey}`)
      .set('Content-Type', type)
      .set(headers)
      .send(text as string);

  test('a text with faults: all of them, as the command line shows them', async () => {
    const wrong = own('1.0.0', 74)
      .replace('developer.temperature', 'developer.temprature')
      .replace('warning', 'wrning');
    const { body } = await put(wrong).expect(422);
    expect(body.code).toBe('pack-faults');
    expect(body.diagnostics.map(({ code, nearest }: { code: string; nearest: string }) => [code, nearest])).toEqual([
      ['unknown-fact', 'developer.temperature'],
      ['unknown-word', 'warning'],
    ]);
    expect(body.diagnostics[0]).toMatchObject({ file: 'brackenfold/baths', line: 10, column: 9 });
    expect(body.diagnostics[0].shown).toContain('^');
    await api.get('/v1/packs/brackenfold/baths').expect(404);
  });

  test('a text whose own tests fail', async () => {
    const failing = `${own('1.0.0', 74)}checks:
  - id: cold
    title: Cold
    on: [bath.measured]
    about: line
    when: { fact: developer.temperature, operator: above, value: { limit: developer-temperature } }
    say: 'Warm.'
    tests:
      - { name: a, kind: fires, events: [{ bath.measured: { at: '2026-01-20T08:00', line: M1, bath: developer, temperature: '70 [degF]' } }], expect: [{}] }
      - { name: b, kind: silent, events: [{ bath.measured: { at: '2026-01-20T08:00', line: M1, bath: developer, temperature: '70 [degF]' } }], expect: [] }
      - { name: c, kind: boundary, events: [{ bath.measured: { at: '2026-01-20T08:00', line: M1, bath: developer, temperature: '74 [degF]' } }], expect: [] }
`;
    const { body } = await put(failing).expect(422);
    expect(body).toMatchObject({ code: 'pack-tests-failed', failed: [{ rule: 'brackenfold/baths/cold', test: 'a' }] });
  });

  test('another id, an older version, another layer', async () => {
    const { body } = await put(own('1.0.0', 74), 'brackenfold/other').expect(422);
    expect(body.detail).toContain('brackenfold/baths');
    const shipped = await api.get('/v1/packs/common/temperatures').set('Accept', 'application/yaml').expect(200);
    const etag = { 'If-Match': shipped.headers['etag'] as string };
    const older = await put(
      shipped.text.replace(/^version: .*$/m, 'version: 0.9.0'),
      'common/temperatures',
      undefined,
      etag,
    );
    expect([older.status, older.body.code]).toEqual([409, 'conflict']);
    const taken = shipped.text.replace(/^version: .*$/m, 'version: 9.0.0').replace('layer: practice', 'layer: clinic');
    const other = await put(taken, 'common/temperatures', undefined, etag);
    expect([other.status, other.body.layer]).toEqual([409, 'practice']);
    const there = (version: string, place: string) =>
      own(version, 74)
        .replace('brackenfold/baths', 'brackenfold/there')
        .replace('layer: clinic', `layer: clinic\njurisdiction: ${place}`);
    const first = await put(there('1.0.0', 'us-wa'), 'brackenfold/there').expect(201);
    const moved = await put(there('1.0.1', 'us-mn'), 'brackenfold/there', undefined, {
      'If-Match': first.headers['etag'] as string,
    });
    expect([moved.status, moved.body.jurisdiction]).toEqual([409, 'us-wa']);
  });

  test('a shipped pack gives way to a text of its id, and the list says so', async () => {
    const shipped = await api.get('/v1/packs/common/wedge').set('Accept', 'application/yaml').expect(200);
    const etag = { 'If-Match': shipped.headers['etag'] as string };
    await put(shipped.text.replace(/^version: .*$/m, 'version: 9.0.0'), 'common/wedge', undefined, etag).expect(200);
    const { body } = await api.get('/v1/packs').expect(200);
    const rows = (body.items as { id: string; version: string; inPlaceOf?: string }[]).filter(
      ({ id }) => id === 'common/wedge',
    );
    const [, before] = /^version: (.*)$/m.exec(shipped.text) ?? [];
    expect(rows).toMatchObject([{ version: '9.0.0', inPlaceOf: before }]);
  });

  test('what is no text of a pack', async () => {
    await put('x', 'brackenfold/baths', 'text/plain').expect(415);
    await put(own('1.0.0', 74), 'brackenfold/baths', 'application/yaml; charset=iso-8859-1').expect(415);
    await put(Buffer.from([0xff, 0xfe, 0x00]), 'brackenfold/baths').expect(400);
    const blank = await put('\n'.repeat(200_000));
    expect(blank.status).toBe(422);
    const said = own('1.0.0', 74).replace('title: Our baths', 'title: "Our \\0 baths"');
    for (const text of [said, own('1.0.0', 74).replace('# Ours.', '# \u0000')]) {
      const { status, body } = await put(text);
      expect([status, body.diagnostics[0].code]).toEqual([422, 'bad-yaml']);
    }
    for (const text of ['', '[]', 'a: *b', '{', '\u0000', '__proto__: 1', '- - - -', 'pack: {a: &a [*a]}'])
      expect((await put(text)).status).toBe(422);
    await put(own('1.0.0', 74), 'BAD ID').expect(404);
    await put(own('1.0.0', 74), 'brackenfold/baths', undefined, { 'If-Match': '"x"' }).expect(412);
  });

  test('a text that takes from another pack what that one names', async () => {
    const limits = own('1.0.0', 74)
      .replace('brackenfold/baths', 'brackenfold/limits')
      .replaceAll('developer-temperature', 'own-warmth');
    const [head] = own('1.0.0', 74).replace('brackenfold/baths', 'brackenfold/checks').split('limits:');
    const { headers } = await put(limits, 'brackenfold/limits').expect(201);
    const naming = `${head}checks:
  - id: warm
    title: Warm
    on: [bath.measured]
    about: line
    when: { fact: developer.temperature, operator: above, value: { limit: own-warmth } }
    say: 'Warm.'
    tests:
      - { name: a, kind: fires, events: [{ bath.measured: { at: '2026-01-20T08:00', line: M1, bath: developer, temperature: '76 [degF]' } }], expect: [{}] }
      - { name: b, kind: silent, events: [{ bath.measured: { at: '2026-01-20T08:00', line: M1, bath: developer, temperature: '70 [degF]' } }], expect: [] }
      - { name: c, kind: boundary, events: [{ bath.measured: { at: '2026-01-20T08:00', line: M1, bath: developer, temperature: '74 [degF]' } }], expect: [] }
`;
    await put(naming, 'brackenfold/checks').expect(201);
    const renamed = limits.replace('1.0.0', '1.1.0').replaceAll('own-warmth', 'own-heat');
    const { body } = await put(renamed, 'brackenfold/limits', undefined, { 'If-Match': headers['etag'] as string });
    expect(body.code).toBe('pack-faults');
    expect(body.detail).toContain('With this text brackenfold/checks@1.0.0 has 1 error');
    expect(body.diagnostics).toContainEqual(expect.objectContaining({ code: 'unknown-limit' }));
    const { body: now } = await api.get('/v1/packs/brackenfold/limits').expect(200);
    expect(now.version).toBe('1.0.0');
  });

  test('a key for reading, or for some sites only', async () => {
    const make = async (scopes: string[], sites?: string[]) =>
      (await api.post('/v1/keys', { name: 'k', scopes, ...(sites ? { sites } : {}) }).expect(201)).body
        .secret as string;
    for (const key of [await make(['findings:read']), await make(['packs:write'], ['brackenfold'])]) {
      const { status } = await api.raw
        .put('/v1/packs/brackenfold/baths')
        .set('Authorization', `Bearer ${key}`)
        .set('Content-Type', 'application/yaml')
        .send(own('1.0.0', 74));
      expect(status).toBe(403);
    }
  });
});
