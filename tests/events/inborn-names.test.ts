import { expect, test } from '@jest/globals';
import { decode } from '../../src/events/decode.js';

const inborn = ['__proto__', 'constructor', 'toString', 'hasOwnProperty', '__defineGetter__', 'valueOf'];
const site = (line: string) => ({
  type: 'site.configured',
  data: { name: 'A', zone: 'UTC', jurisdictions: ['us'], lines: [{ id: line, method: 'manual' }], tubes: [] },
});
const places: Record<string, (name: string) => { type: string; data: object; site?: string }> = {
  line: site,
  'site of the envelope': (name) => ({ ...site('M1'), site: name }),
  lot: (name) => ({ type: 'filmstock.opened', data: { lot: name } }),
  instrument: (name) => ({
    type: 'instrument.checked',
    data: { instrument: name, kind: 'timer', reading: { value: 60, unit: 's' }, reference: { value: 60, unit: 's' } },
  }),
  finding: (name) => ({ type: 'finding.acknowledged', data: { finding: name } }),
};

function told(place: string, name: string) {
  const event = places[place]?.(name) ?? { type: '', data: {} };
  const time = '2026-03-02T08:00:00Z';
  return decode(
    { specversion: '1.0', id: 'e', source: 's', time, site: 'a', ...event },
    { now: Date.parse(time), hashPatient: (token) => token },
  );
}

test.each(Object.keys(places))('names that every object has from birth are refused as the id of a %s', (place) => {
  expect(told(place, 'M1')).toMatchObject({ ok: true });
  for (const name of inborn) {
    expect([name, told(place, name).ok]).toEqual([name, false]);
    expect(Object.keys(Object.prototype)).toEqual([]);
  }
});
