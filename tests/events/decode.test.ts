import { describe, expect, test } from '@jest/globals';
import canonicalize from 'canonicalize';
import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { faultLimit } from '../../src/events/faults.js';
import { limits } from '../../src/events/guard.js';
import { eventTypes } from '../../src/events/catalogue.js';
import { decodeAt, faultsOf, now } from './faults-of.js';
import { arbitraryEvent, arbitraryHistory, exampleOf, exampleSite } from './generate.js';

const example = () => exampleOf('film.processed');
const changed = (attributes: Record<string, unknown>) => ({ ...example(), ...attributes });
const without = (name: string) => Object.fromEntries(Object.entries(example()).filter(([key]) => key !== name));
const brief = (event: unknown) => faultsOf(event).map(({ pointer, code }) => `${pointer} ${code}`);

test('an accepted event has its place, its data inside and as sent, and its hash', () => {
  const event = { ...example(), subject: 'M1' };
  const result = decodeAt(event);
  if (!result.ok) throw new Error('refused');
  expect(result.event).toMatchObject({
    at: Date.UTC(2026, 0, 20, 16, 20),
    rank: 6,
    source: 'sender-1',
    id: 'e-1',
    type: 'film.processed',
    site: 'office',
    subject: 'M1',
  });
  expect(result.sent).toEqual(event.data);
  // RFC 8785 text of what the event says, hashed here with the older interface of Node.
  const text = (canonicalize as unknown as (value: unknown) => string)({
    site: 'office',
    type: 'film.processed',
    time: Date.UTC(2026, 0, 20, 16, 20),
    subject: 'M1',
    data: event.data,
  });
  expect(result.hash).toBe(createHash('sha256').update(text).digest('hex'));
});

describe('L3: the hash is of what is said, not of how it is written', () => {
  const hashOf = (event: unknown) => {
    const result = decodeAt(event);
    return result.ok ? result.hash : JSON.stringify(result.faults);
  };
  test('order of fields, offset, fractions of the same millisecond, ignored attributes', () => {
    const { data } = example();
    const turned = Object.fromEntries(Object.entries(data).reverse());
    expect(hashOf(changed({ data: turned }))).toBe(hashOf(example()));
    expect(hashOf(changed({ time: '2026-01-20T16:20:00.0004Z' }))).toBe(hashOf(example()));
    expect(hashOf(changed({ traceparent: '00-1', datacontenttype: 'application/json' }))).toBe(hashOf(example()));
  });
  test.each([
    ['site', { site: 'other' }],
    ['time', { time: '2026-01-20T08:20:01-08:00' }],
    ['subject', { subject: 'M1' }],
    ['data', { data: { ...exampleOf('film.processed').data, count: 5 } }],
  ])('another %s is another hash', (_, change) => expect(hashOf(changed(change))).not.toBe(hashOf(example())));
});

describe('L32: the patient token', () => {
  const exposed = (patient: unknown) => {
    const event = exampleOf('film.exposed');
    event.data.patient = patient;
    return event;
  };
  test("is hashed before anything else has it, and hashing the caller's object leaves it alone", () => {
    const event = exposed('Jane Q. Public 555-12-3456');
    const result = decodeAt(event);
    expect(JSON.stringify(result)).not.toContain('Jane');
    expect(result).toMatchObject({
      ok: true,
      sent: { patient: 'hashed-26' },
      event: { data: { patient: 'hashed-26' } },
    });
    expect(event.data.patient).toBe('Jane Q. Public 555-12-3456');
  });
  test('may be any 1 to 64 characters, counted as people count', () => {
    expect(decodeAt(exposed('😀'.repeat(64))).ok).toBe(true);
    expect(brief(exposed('😀'.repeat(65)))).toEqual(['/data/patient format']);
  });
  test('is not repeated in a refusal', () => {
    expect(JSON.stringify(decodeAt({ ...exposed('Jane Public'), time: 'x' }))).not.toContain('Jane');
  });
});

describe('attributes', () => {
  test.each([
    [without('specversion'), '/specversion missing'],
    [changed({ specversion: '0.3' }), '/specversion not-allowed'],
    [without('id'), '/id missing'],
    [changed({ id: '' }), '/id format'],
    [changed({ id: 'é' }), '/id format'],
    [changed({ id: 7 }), '/id wrong-type'],
    [changed({ id: 'x'.repeat(257) }), '/id format'],
    [without('source'), '/source missing'],
    [changed({ source: 'a\tb' }), '/source format'],
    [without('type'), '/type missing'],
    [changed({ type: 'film.process' }), '/type unknown-type'],
    [changed({ type: 'constructor' }), '/type unknown-type'],
    [changed({ type: '__proto__' }), '/type unknown-type'],
    [without('time'), '/time missing'],
    [changed({ time: null }), '/time missing'],
    [changed({ time: 1_700_000_000 }), '/time wrong-type'],
    [changed({ time: '2026-01-20T08:20:00' }), '/time time-without-offset'],
    [changed({ time: 'yesterday' }), '/time format'],
    [changed({ time: '2026-02-30T08:20:00Z' }), '/time format'],
    [changed({ time: '1969-12-31T23:59:59Z' }), '/time time-too-old'],
    [changed({ time: '0001-01-01T00:00:00Z' }), '/time time-too-old'],
    [changed({ time: '9999-01-01T00:00:00Z' }), '/time time-ahead'],
    [without('site'), '/site missing'],
    [changed({ site: 'the office' }), '/site format'],
    [changed({ site: 'x'.repeat(65) }), '/site format'],
    [changed({ subject: '' }), '/subject length'],
    [changed({ subject: 5 }), '/subject wrong-type'],
    [changed({ subject: 'patient: Jane' }), '/subject identity'],
    [changed({ datacontenttype: 'text/xml' }), '/datacontenttype media-type'],
    [without('data'), '/data missing'],
    [changed({ data: null }), '/data missing'],
    [changed({ data: [] }), '/data wrong-type'],
    [changed({ data: '{}' }), '/data wrong-type'],
    [changed({ Line: 'M1' }), '/Line unknown-attribute'],
    [changed({ site_id: 'x' }), '/site_id unknown-attribute'],
  ])('case %#', (event, expected) => expect(brief(event)).toEqual([expected]));

  test('256 printable characters are an id, blanks and signs too', () => {
    const id = `~ !${'x'.repeat(253)}`;
    expect(decodeAt(changed({ id }))).toMatchObject({ ok: true, event: { id } });
  });

  test.each([
    'application/json',
    'application/json; charset=utf-8',
    'Application/JSON',
    'application/vnd.office+json',
    null,
  ])('datacontenttype %s is JSON', (datacontenttype) => expect(brief(changed({ datacontenttype }))).toEqual([]));

  test('extensions that the specification allows are let through', () => {
    expect(brief(changed({ traceparent: '00-af', partitionkey: 'a', dataschema: 'x' }))).toEqual([]);
  });

  test('an attribute that is missing may be there under another name', () => {
    const { site, ...rest } = example();
    expect(faultsOf({ ...rest, sites: site })[0]?.message).toContain('you sent "sites"');
    expect(faultsOf({ ...rest, siteid: site })[0]?.message).toContain('you sent "siteid"');
    const { time, ...timeless } = example();
    expect(faultsOf({ ...timeless, tiem: time })[0]?.message).toContain('you sent "tiem"');
  });

  test('ten minutes ahead is a clock that is a little off; a millisecond more is not', () => {
    const at = (ms: number) => changed({ time: new Date(now + ms).toISOString() });
    expect(brief(at(600_000))).toEqual([]);
    expect(brief(at(600_001))).toEqual(['/time time-ahead']);
    expect(faultsOf(at(1), { aheadLimit: 0 })).toHaveLength(1);
  });
});

describe('a refusal helps', () => {
  test('all faults are told at once, of attributes and of data', () => {
    const event = {
      ...without('time'),
      data: { line: 'M1', methd: 'manual', count: 1, rinse: { time: { value: 30, unit: 'sec' } } },
    };
    expect(brief(event).sort()).toEqual(
      ['/data/method missing', '/data/methd unknown-field', '/data/rinse/time/unit unit', '/time missing'].sort(),
    );
  });
  test('the nearest name, the allowed words, the unit that was meant', () => {
    const [type] = faultsOf(changed({ type: 'films.processed' }));
    expect(type).toMatchObject({ nearest: 'film.processed', allowed: eventTypes });
    const one = (data: object) => faultsOf(changed({ data: { ...example().data, ...data } }))[0];
    expect(one({ devloper: {} })).toMatchObject({ nearest: 'developer' });
    expect(one({ method: 'Manual' })).toMatchObject({
      nearest: 'manual',
      allowed: ['manual', 'automatic', 'chairside'],
    });
    expect(one({ wash: { time: { value: 20, unit: 'minutes' } } })).toMatchObject({
      nearest: 'min',
      allowed: expect.arrayContaining(['s', 'min']),
    });
    expect(one({ wash: { time: 20 } })?.message).toContain('"unit":"min"');
    expect(one({ developer: { temperature: { value: 700, unit: '[degF]' } } })?.message).toContain(
      '(32 to 140 [degF])',
    );
  });
  test('source and id are repeated when they are fit to be', () => {
    expect(decodeAt(changed({ time: 'x' }))).toMatchObject({ ok: false, source: 'sender-1', id: 'e-1' });
    expect(decodeAt(changed({ id: 'é', time: 'x' }))).not.toHaveProperty('id');
  });
  test(`no more than ${faultLimit} faults`, () => {
    const data = Object.fromEntries(Array.from({ length: 50 }, (_, at) => [`x${at}`, 1]));
    expect(faultsOf(changed({ data }))).toHaveLength(faultLimit);
  });
  test('identity in free text, told without repeating it', () => {
    const event = changed({ data: { ...example().data, note: 'patient: Jane Public, dob 1/2/1980' } });
    expect(brief(event)).toEqual(['/data/note identity']);
    expect(JSON.stringify(decodeAt(event))).not.toMatch(/Jane|1980/);
  });
});

describe('input that was made to hurt', () => {
  const nested = (depth: number): unknown => JSON.parse(`${'['.repeat(depth)}${']'.repeat(depth)}`);
  test('ten thousand levels, a thousand keys of nothing, a megabyte of text', () => {
    expect(brief(changed({ data: { note: nested(10_000) } }))[0]).toMatch(/too-deep$/);
    expect(brief(changed({ deep: nested(10_000) }))[0]).toMatch(/too-deep$/);
    expect(brief(changed({ data: { note: 'x'.repeat(1 << 20) } }))).toEqual([' too-large']);
    expect(
      brief(changed({ data: Object.fromEntries(Array.from({ length: 20_000 }, (_, at) => [`k${at}`, 0])) })),
    ).toEqual([' too-large']);
  });
  test('depth and size are allowed up to the limit', () => {
    expect(brief(changed({ extension: nested(limits.depth - 1) }))).toEqual([]);
    expect(brief(changed({ extension: nested(limits.depth) }))[0]).toMatch(/too-deep$/);
    expect(faultsOf(example(), { size: limits.size })).toEqual([]);
    expect(faultsOf(example(), { size: limits.size + 1 })).toMatchObject([{ code: 'too-large' }]);
  });
  test('characters that no database column holds', () => {
    expect(brief(changed({ data: { ...example().data, note: 'a\u0000b' } }))).toEqual(['/data/note text']);
    expect(brief(changed({ data: { ...example().data, note: 'a\ud800b' } }))).toEqual(['/data/note text']);
    expect(brief(changed({ data: { ...example().data, note: 'a😀b' } }))).toEqual([]);
    expect(brief(changed({ subject: '\udc00' }))).toEqual(['/subject text']);
    const faults = faultsOf(changed({ data: { ...example().data, 'k\u0000\ud800': 1 } }));
    expect(JSON.stringify(faults)).not.toMatch(/\\u0000|\\ud800/);
  });
  test('numbers that are not finite, values that are not JSON', () => {
    const data = JSON.parse('{"line":"M1","method":"manual","count":1e999}') as object;
    expect(brief(changed({ data }))).toEqual(['/data/count not-finite']);
    expect(brief(changed({ data: { ...example().data, count: NaN } }))).toEqual(['/data/count not-finite']);
    expect(brief(changed({ data: { ...example().data, count: 3n } }))).toEqual(['/data/count wrong-type']);
  });
  test('names that mean something to JavaScript are unknown names', () => {
    const data = JSON.parse(
      '{"line":"M1","method":"manual","count":1,"__proto__":{"count":2},"constructor":1,"toJSON":"x"}',
    ) as object;
    expect(brief(changed({ data })).sort()).toEqual([
      '/data/__proto__ unknown-field',
      '/data/constructor unknown-field',
      '/data/toJSON unknown-field',
    ]);
  });
  test.each([null, undefined, 7, 'text', true, [], [example()]])('%j is not an event', (value) => {
    expect(brief(value)).toEqual([' not-an-event']);
  });
});

const json = fc.jsonValue({ maxDepth: 6 });

describe('for any input', () => {
  test('decoding never throws, and a refusal always says why, in storable text', () => {
    fc.assert(
      fc.property(fc.oneof(json, fc.anything({ withBigInt: true, withDate: true })), (value) => {
        const result = decodeAt(value);
        expect(result.ok).toBe(false);
        if (result.ok) return;
        expect(result.faults.length).toBeGreaterThan(0);
        expect(JSON.stringify(result)).not.toMatch(/\\u0000|[^\\]\\ud[89a-f]/);
      }),
      { numRuns: 500 },
    );
  });

  test('one thing changed anywhere in a valid event: accepted, or refused with a pointer, never thrown', () => {
    const mutated = fc.tuple(arbitraryEvent(exampleSite), fc.nat(), json).map(([event, pick, value]) => {
      const copy = structuredClone(event) as unknown as Record<string, unknown>;
      const places: [Record<string, unknown>, string][] = [];
      const visit = (holder: Record<string, unknown>) => {
        for (const key of Object.keys(holder)) {
          places.push([holder, key]);
          const inner = holder[key];
          if (typeof inner === 'object' && inner !== null) visit(inner as Record<string, unknown>);
        }
      };
      visit(copy);
      const [holder, key] = places[pick % places.length] as [Record<string, unknown>, string];
      holder[key] = value;
      return copy;
    });
    fc.assert(
      fc.property(mutated, (event) => {
        const result = decodeAt(event);
        if (!result.ok) for (const fault of result.faults) expect(fault.pointer).toMatch(/^(\/[^/]*)*$/);
      }),
      { numRuns: 500 },
    );
  });

  test('every generated event is accepted, and its sent data decodes again to the same', () => {
    fc.assert(
      fc.property(arbitraryEvent(exampleSite), (event) => {
        const first = decodeAt(event, { now: Date.UTC(2100, 0) });
        if (!first.ok) throw new Error(JSON.stringify(first.faults));
        const again = decodeAt(
          { ...event, data: JSON.parse(JSON.stringify(first.sent)) as object },
          { now: Date.UTC(2100, 0), hashPatient: (token) => token },
        );
        expect(again).toEqual(first);
      }),
      { numRuns: 1000 },
    );
  });

  test('generated histories hold every type, ties of the instant, and retractions of events they hold', () => {
    const seen = new Set<string>();
    let ties = 0;
    let retracted = 0;
    fc.assert(
      fc.property(arbitraryHistory(exampleSite, { min: 30, max: 60, to: Date.UTC(2026, 0, 5, 2) }), (events) => {
        expect(new Set(events.map((event) => event.id)).size).toBe(events.length);
        ties += events.length - new Set(events.map((event) => Date.parse(event.time))).size;
        for (const event of events) {
          seen.add(event.type);
          if (
            event.type === 'event.retracted' &&
            events.some(({ source, id }) => source === event.data.source && id === event.data.id)
          )
            retracted += 1;
        }
      }),
      { numRuns: 60, seed: 7 },
    );
    expect(seen.size).toBe(eventTypes.length);
    expect(ties).toBeGreaterThan(100);
    expect(retracted).toBeGreaterThan(10);
  });
});
