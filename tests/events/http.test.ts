import { describe, expect, test } from '@jest/globals';
import { CloudEvent, HTTP } from 'cloudevents';
import type { Message } from 'cloudevents';
import { httpEvents, httpMode, readHttp } from '../../src/events/http.js';
import type { HttpEvents, HttpHeaders } from '../../src/events/http.js';
import { decodeAt } from './faults-of.js';
import { exampleOf } from './generate.js';

const event = exampleOf('film.processed');
const eventsOf = (read: HttpEvents) => {
  if (read.fault) throw new Error(read.fault.message);
  return read.events;
};
const lower = (headers: Message['headers']): HttpHeaders =>
  Object.fromEntries(Object.entries(headers).map(([name, value]) => [name.toLowerCase(), value as string]));

describe('what the CloudEvents SDK emits says the same in every mode', () => {
  const cloudEvent = new CloudEvent({ ...event, subject: 'M1' });
  const expected = decodeAt({ ...event, subject: 'M1' });

  test.each([
    ['binary', HTTP.binary(cloudEvent)],
    ['structured', HTTP.structured(cloudEvent)],
  ] as const)('%s', (mode, message) => {
    const headers = lower(message.headers);
    expect(httpMode(headers)).toBe(mode);
    const read = readHttp(headers, message.body as string);
    expect(read).toMatchObject({ mode: 'single' });
    expect(decodeAt(eventsOf(read)[0])).toEqual(expected);
  });

  test('batch', () => {
    const other = new CloudEvent({ ...exampleOf('bath.measured'), id: 'e-2' });
    const body = JSON.stringify([cloudEvent, other]);
    const read = readHttp({ 'content-type': 'application/cloudevents-batch+json; charset=utf-8' }, body);
    expect(read).toMatchObject({ mode: 'batch' });
    expect(eventsOf(read).map((one) => decodeAt(one))).toMatchObject([expected, { ok: true, event: { id: 'e-2' } }]);
  });
});

describe('the mode', () => {
  test.each([
    [{ 'content-type': 'application/cloudevents-batch+json' }, 'batch'],
    [{ 'content-type': 'application/cloudevents+json; charset=UTF-8' }, 'structured'],
    [{ 'content-type': 'APPLICATION/CLOUDEVENTS+JSON', 'ce-id': 'x' }, 'structured'],
    [{ 'content-type': 'application/json' }, 'json'],
    [{ 'content-type': 'application/json', 'ce-specversion': '1.0' }, 'binary'],
    [{ 'content-type': 'application/json', 'ce-type': 'x' }, 'binary'],
    [{ 'content-type': 'application/vnd.office+json', 'ce-id': 'x' }, 'binary'],
  ])('%j is %s', (headers, mode) => expect(httpMode(headers as HttpHeaders)).toBe(mode));

  test.each([
    [{}, 'media-type'],
    [{ 'content-type': 'text/plain' }, 'media-type'],
    [{ 'content-type': 'application/cloudevents+xml' }, 'media-type'],
    [{ 'content-type': 'application/cloudevents-batch+protobuf' }, 'media-type'],
    [{ 'ce-id': 'x' }, 'media-type'],
    [{ 'ce-id': 'x', 'content-type': 'application/octet-stream' }, 'media-type'],
    [{ 'content-type': 'application/json; charset=iso-8859-1' }, 'charset'],
  ])('%j is not read', (headers, code) => {
    expect(httpMode(headers as HttpHeaders)).toMatchObject({ status: 415, code });
  });

  test('a list and a single event are not taken for each other', () => {
    expect(httpEvents('structured', {}, [event])).toMatchObject({ fault: { status: 400, code: 'body' } });
    expect(httpEvents('batch', {}, event)).toMatchObject({ fault: { status: 400, code: 'body' } });
    expect(httpEvents('json', {}, [event])).toEqual({ mode: 'batch', events: [event] });
    expect(httpEvents('json', {}, event)).toEqual({ mode: 'single', events: [event] });
    expect(httpEvents('batch', {}, [])).toEqual({ mode: 'batch', events: [] });
  });

  test('a body that is not JSON in UTF-8', () => {
    const headers = { 'content-type': 'application/json' };
    for (const body of ['', '{', 'NaN', Buffer.from([0x22, 0xff, 0x22])]) {
      expect(readHttp(headers, body)).toMatchObject({ fault: { status: 400, code: 'json' } });
    }
    expect(eventsOf(readHttp(headers, Buffer.from('{"id":"é"}')))).toEqual([{ id: 'é' }]);
  });
});

describe('binary mode', () => {
  const headers = {
    'content-type': 'application/json; charset=utf-8',
    'ce-specversion': '1.0',
    'ce-id': 'e%2D1%20%E2%82%AC',
    'ce-source': '"a \\"quoted\\" one"',
    'ce-type': 'x',
    'ce-subject': '100%',
    'ce-site': ['office'],
    'ce-data': 'not the data',
    'ce-data_base64': 'AAAA',
    'ce-datacontenttype': 'text/xml',
    'x-other': 'y',
  };
  test('attributes are decoded as the binding says, the body is the data', () => {
    expect({ ...(eventsOf(httpEvents('binary', headers, { a: 1 }))[0] as object) }).toEqual({
      specversion: '1.0',
      id: 'e-1 €',
      source: 'a "quoted" one',
      type: 'x',
      subject: '100%',
      site: 'office',
      datacontenttype: 'application/json; charset=utf-8',
      data: { a: 1 },
    });
  });
  test('no body is no data, and bytes that are not UTF-8 stay as they came', () => {
    const [read] = eventsOf(readHttp({ ...headers, 'ce-subject': '%ff%41' }, '')) as Record<string, unknown>[];
    expect(read).not.toHaveProperty('data');
    expect(read?.subject).toBe('%ff%41');
  });
  test('a header cannot reach the prototype', () => {
    const read = eventsOf(httpEvents('binary', { ...headers, 'ce-__proto__': 'x' }, {}))[0];
    expect(decodeAt(read).ok).toBe(false);
    expect(({} as Record<string, unknown>).x).toBeUndefined();
  });
});
