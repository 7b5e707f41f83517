import { afterAll, beforeAll, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { operations } from '../../src/api/operations.js';
import { eventTypes } from '../../src/events/catalogue.js';
import { describeEachDatabase } from '../support/database.js';
import { type ApiUnderTest, adminKey, configureOffice, noon, run, startApi } from './server.js';

const runs = process.env['STEPWEDGE_LONG'] ? 3000 : 200;

let seconds = 0;
/** A run after all others: one before them would be a replay each time, which is not what is asked here. */
const nextRun = (): Record<string, unknown> =>
  run(4, 71, { time: new Date(noon - 4 * 3_600_000 + 1000 * seconds++).toISOString() });

/** Whatever is sent, the answer is one that the contract knows, and never 500; what is refused is refused as a problem. */
describeEachDatabase('generated requests', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open);
    await configureOffice(api);
    await api.send(run(3.5)).expect(202);
  });
  // Also holds that the log has no error.
  afterAll(() => api.close());

  async function ask(
    method: string,
    path: string,
    headers: Record<string, string>,
    body?: string | Uint8Array,
  ): Promise<Response> {
    const bodiless = method === 'GET' || method === 'HEAD';
    return fetch(api.server.url + path, {
      method,
      headers: { Authorization: `Bearer ${adminKey}`, ...headers },
      ...(bodiless || body === undefined ? {} : { body }),
    });
  }

  async function expectSound(answer: Response): Promise<void> {
    expect(answer.status).toBeLessThan(500);
    const text = await answer.text();
    if (answer.status < 400) return;
    expect(answer.headers.get('content-type')).toBe('application/problem+json; charset=utf-8');
    const problem = JSON.parse(text) as { status: number; type: string; code: string };
    expect(problem.status).toBe(answer.status);
    expect(problem.type).toBe(`/docs/errors#${problem.code}`);
  }

  const types = [
    'application/json',
    'application/cloudevents+json',
    'application/cloudevents-batch+json',
    'application/cloudevents+json; charset=utf-8',
    'text/plain',
  ];

  test('any bytes as a body', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom(...types),
        fc.oneof(fc.string(), fc.json(), fc.uint8Array()),
        async (type, body) => {
          await expectSound(await ask('POST', '/v1/events', { 'Content-Type': type }, body));
        },
      ),
      { numRuns: runs },
    );
  });

  /** Events that are nearly right: one thing in them is anything at all. */
  const odd = fc.oneof(
    fc.jsonValue(),
    fc.constantFrom(
      '\u0000',
      '\ud800',
      '',
      '__proto__',
      'x'.repeat(300),
      -0,
      1e308,
      '9999-12-31T23:59:59Z',
      '0000-01-01T00:00:00Z',
    ),
    fc.string({ unit: 'binary' }),
  );
  const names = [
    'specversion',
    'id',
    'source',
    'type',
    'time',
    'site',
    'subject',
    'data',
    'datacontenttype',
    'extra',
    '__proto__',
  ];
  const fields = [
    'line',
    'method',
    'count',
    'films',
    'developer',
    'tube',
    'by',
    'note',
    'patient',
    'until',
    'finding',
    'constructor',
  ];
  const nearly = fc
    .record({
      type: fc.constantFrom(...eventTypes),
      id: fc.uuid(),
      name: fc.constantFrom(...names),
      field: fc.constantFrom(...fields),
      odd,
      inData: fc.boolean(),
    })
    .map(({ type, id, name, field, odd, inData }) => {
      const event: Record<string, unknown> = { ...nextRun(), id, type };
      const target: object = inData ? (event['data'] as object) : event;
      Object.defineProperty(target, inData ? field : name, { value: odd, enumerable: true });
      return event;
    });

  test('events that are nearly right, alone and with a good one beside them', async () => {
    await fc.assert(
      fc.asyncProperty(nearly, async (event) => {
        await expectSound(
          await ask('POST', '/v1/events', { 'Content-Type': 'application/json' }, JSON.stringify(event)),
        );
        const good = nextRun();
        const answer = await ask(
          'POST',
          '/v1/events',
          { 'Content-Type': 'application/json' },
          JSON.stringify([event, good]),
        );
        expect(answer.status).toBe(200);
        const { results } = (await answer.json()) as { results: { id: string; status: string }[] };
        expect(results).toHaveLength(2);
        expect(results[1]).toMatchObject({ id: good['id'], status: 'accepted' });
      }),
      { numRuns: runs },
    );
  });

  const headerText = fc
    .string({
      unit: fc.integer({ min: 0x20, max: 0xff }).map((code) => String.fromCharCode(code === 0x7f ? 0x7e : code)),
      maxLength: 40,
    })
    .map((text) => text.trim());
  test('binary mode with any headers', async () => {
    const attributes = fc.dictionary(
      fc.constantFrom(
        'ce-id',
        'ce-source',
        'ce-type',
        'ce-time',
        'ce-site',
        'ce-specversion',
        'ce-subject',
        'ce-data',
        'ce-x',
      ),
      headerText,
    );
    await fc.assert(
      fc.asyncProperty(attributes, fc.json(), async (headers, body) => {
        await expectSound(await ask('POST', '/v1/events', { 'Content-Type': 'application/json', ...headers }, body));
      }),
      { numRuns: runs },
    );
  });

  const segment = fc.oneof(
    fc.constantFrom('brackenfold', 'x', '%00', '..', '%E0', '%2F', 'f-1', "';--"),
    fc.string().map(encodeURIComponent0),
  );
  const parameter = fc.constantFrom(
    'at',
    'limit',
    'cursor',
    'after',
    'site',
    'state',
    'severity',
    'rule',
    'line',
    'from',
    'to',
    'type',
    'source',
    'x',
    '',
  );
  const value = fc.oneof(
    fc.constantFrom(
      '',
      '1',
      '500',
      '-1',
      '1e9',
      'open,open',
      'law',
      '2026-03-11T08:00:00-07:00',
      '%00',
      '%',
      'WzEsMiwzXQ',
      'NaN',
    ),
    fc.string().map(encodeURIComponent0),
    fc
      .array(fc.oneof(fc.string(), fc.integer(), fc.double()), { maxLength: 5 })
      .map((key) => Buffer.from(JSON.stringify(key)).toString('base64url')),
  );
  test('every operation with any names, queries and bodies', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom(...operations),
        fc.array(segment, { minLength: 2, maxLength: 2 }),
        fc.array(fc.tuple(parameter, value), { maxLength: 3 }),
        fc.oneof(fc.json(), fc.string()),
        async ({ method, path }, segments, query, body) => {
          const filled = path.replace(/\{\w+\}/g, () => segments.pop() ?? 'x');
          const search = query.map(([name, value]) => `${name}=${value}`).join('&');
          const address = search === '' ? filled : `${filled}?${search}`;
          await expectSound(await ask(method.toUpperCase(), address, { 'Content-Type': 'application/json' }, body));
        },
      ),
      { numRuns: runs * 3 },
    );
  });
});

/** As `encodeURIComponent`, for half surrogate pairs too. */
function encodeURIComponent0(text: string): string {
  return encodeURIComponent(text.replaceAll(/\p{Cs}/gu, ''));
}
