import { describe, expect, test } from '@jest/globals';
import fc from 'fast-check';
import { z } from 'zod';
import { canonicalData } from '../../src/events/canonical.js';
import { catalogue, eventTypes } from '../../src/events/catalogue.js';
import type { EventData, EventType } from '../../src/events/catalogue.js';
import { filmCount } from '../../src/events/film.js';
import { filmArea, filmSizes } from '../../src/events/film-size.js';
import type { SiteConfig } from '../../src/events/site.js';
import { signs } from '../../src/events/signs.js';
import { isoOfUniversal, isoTeeth, universalTeeth } from '../../src/events/teeth.js';
import { arbitraryEvent, decoded, exampleOf, exampleSite } from './generate.js';
import { faultsOf } from './faults-of.js';

test('every type has a description and an example that is accepted', () => {
  expect(eventTypes).toHaveLength(32);
  for (const type of eventTypes) {
    expect(catalogue[type].description.length).toBeGreaterThan(10);
    expect(faultsOf(exampleOf(type))).toEqual([]);
  }
});

test.each(eventTypes)('%s can be written as a JSON Schema that refuses other fields', (type) => {
  const schema = z.toJSONSchema(catalogue[type].schema);
  expect(schema).toMatchObject({
    type: 'object',
    additionalProperties: false,
    description: catalogue[type].description,
  });
  expect(Object.keys(schema.properties ?? {})).toEqual(expect.arrayContaining(['by', 'note']));
});

/** What must be refused: type, changes to its example (null: the field is left out), pointer and code of the one fault. */
const wrong: [EventType, Record<string, unknown>, string, string][] = [
  ['day.opened', { lids: 'on' }, '/data/lids', 'wrong-type'],
  ['day.opened', { lid: true }, '/data/lid', 'unknown-field'],
  ['day.closed', { line: 'M 1' }, '/data/line', 'format'],
  ['chemistry.changed', { bath: 'wash' }, '/data/bath', 'not-allowed'],
  ['chemistry.changed', { line: null }, '/data/line', 'missing'],
  ['chemistry.changed', { kind: 'fast' }, '/data/kind', 'not-allowed'],
  ['chemistry.changed', { volume: { value: 1, unit: 'gal' } }, '/data/volume/unit', 'unit'],
  ['chemistry.changed', { reason: '' }, '/data/reason', 'length'],
  ['chemistry.replenished', { with: 'fixer' }, '/data/with', 'not-allowed'],
  ['bath.measured', { temperature: null }, '/data', 'combination'],
  ['bath.measured', { temperature: 68 }, '/data/temperature', 'wrong-type'],
  ['bath.measured', { temperature: { value: 68 } }, '/data/temperature/unit', 'missing'],
  ['bath.measured', { temperature: { value: '68', unit: '[degF]' } }, '/data/temperature/value', 'wrong-type'],
  ['bath.measured', { temperature: { value: 68, unit: 's' } }, '/data/temperature/unit', 'unit'],
  ['bath.measured', { temperature: { value: 68, unit: '[degF]', at: 1 } }, '/data/temperature/at', 'unknown-field'],
  ['bath.measured', { level: 'half' }, '/data/level', 'not-allowed'],
  ['fixer.cleared', { time: { value: 0, unit: 's' } }, '/data/time/value', 'out-of-range'],
  ['film.processed', { count: null }, '/data', 'combination'],
  ['film.processed', { count: 0 }, '/data/count', 'out-of-range'],
  ['film.processed', { count: 2.5 }, '/data/count', 'wrong-type'],
  ['film.processed', { count: 10_001 }, '/data/count', 'out-of-range'],
  ['film.processed', { films: ['F-1'], count: 2 }, '/data/count', 'combination'],
  ['film.processed', { films: ['F-1', 'F-1'], count: null }, '/data/films/1', 'repeated'],
  ['film.processed', { films: [], count: null }, '/data/films', 'length'],
  ['film.processed', { filmSize: 2 }, '/data/filmSize', 'not-allowed'],
  ['film.processed', { method: 'hand' }, '/data/method', 'not-allowed'],
  ['film.processed', { rinse: {} }, '/data/rinse/time', 'missing'],
  ['film.processed', { wash: { time: { value: -1, unit: 's' } } }, '/data/wash/time/value', 'out-of-range'],
  ['film.refixed', { wash: null }, '/data/wash', 'missing'],
  ['stepwedge.read', { difference: null }, '/data', 'combination'],
  ['stepwedge.read', { difference: { steps: -1, direction: 'lighter' } }, '/data/difference/steps', 'out-of-range'],
  ['stepwedge.read', { difference: { steps: 2 } }, '/data/difference/direction', 'combination'],
  ['stepwedge.read', { difference: { steps: 0, direction: 'darker' } }, '/data/difference/direction', 'combination'],
  ['stepwedge.read', { difference: { steps: 2, direction: 'same' } }, '/data/difference/direction', 'combination'],
  ['stepwedge.read', { densities: [0.2, 7] }, '/data/densities/1', 'out-of-range'],
  ['stepwedge.read', { densities: [0.2] }, '/data/densities', 'length'],
  ['testfilm.read', { asExpected: null }, '/data/asExpected', 'missing'],
  ['testfilm.read', { density: { value: 0.2, unit: '%' } }, '/data/density/unit', 'unit'],
  ['darkroom.checked', { outlineSeen: null }, '/data', 'combination'],
  ['darkroom.checked', { lights: 'on' }, '/data/lights', 'not-allowed'],
  ['equipment.cleaned', { part: 'lid' }, '/data/part', 'not-allowed'],
  ['equipment.status', { line: 'M1', tube: 'R1' }, '/data', 'combination'],
  ['equipment.status', { tube: null }, '/data', 'combination'],
  ['instrument.checked', { reading: { value: 68, unit: 's' } }, '/data/reading', 'combination'],
  ['instrument.checked', { reference: 1.5 }, '/data/reference', 'combination'],
  ['instrument.checked', { reading: { value: 68, unit: 'kV' } }, '/data/reading/unit', 'unit'],
  ['instrument.checked', { reading: 'warm' }, '/data/reading', 'wrong-type'],
  ['filmstock.received', { expires: '2026-13' }, '/data/expires', 'format'],
  ['filmstock.received', { expires: '08/2026' }, '/data/expires', 'format'],
  ['filmstock.opened', { speed: 'G' }, '/data/speed', 'not-allowed'],
  ['filmstock.stored', { humidity: { value: 101, unit: '%' } }, '/data/humidity/value', 'out-of-range'],
  ['film.exposed', { pulses: 12 }, '/data', 'combination'],
  ['film.exposed', { teeth: ['19'] }, '/data/teeth/0', 'not-allowed'],
  ['film.exposed', { teeth: { universal: ['33'] } }, '/data/teeth/universal/0', 'not-allowed'],
  ['film.exposed', { teeth: { universal: ['1'], palmer: ['6'] } }, '/data/teeth/palmer', 'unknown-field'],
  ['film.exposed', { teeth: 36 }, '/data/teeth', 'wrong-type'],
  ['film.exposed', { patient: '' }, '/data/patient', 'format'],
  ['film.exposed', { patient: 'x'.repeat(65) }, '/data/patient', 'format'],
  ['film.exposed', { patientName: 'x' }, '/data/patientName', 'identity'],
  ['film.exposed', { tubeVoltage: { value: 70, unit: 'kVp' } }, '/data/tubeVoltage/unit', 'unit'],
  ['film.reviewed', { run: 'e-17' }, '/data', 'combination'],
  ['film.reviewed', { signs: ['light'] }, '/data/signs/0', 'not-allowed'],
  ['film.reviewed', { signs: null }, '/data/signs', 'missing'],
  ['film.reviewed', { signs: ['fogged', 'fogged'] }, '/data/signs/1', 'repeated'],
  ['films.tallied', { exposures: -1 }, '/data/exposures', 'out-of-range'],
  ['films.tallied', { rejects: [{ count: 1 }, { count: 2 }] }, '/data/rejects/1', 'repeated'],
  ['films.mounted', { slots: [] }, '/data/slots', 'length'],
  ['films.mounted', { slots: [{ slot: 'A' }, { slot: 'A' }] }, '/data/slots/1', 'repeated'],
  ['films.mounted', { labelled: { patient: 'Jane', date: true } }, '/data/labelled/patient', 'wrong-type'],
  ['tube.tested', { test: 'timer' }, '/data/readings', 'combination'],
  ['tube.tested', { readings: [] }, '/data/readings', 'length'],
  ['waste.handedOver', { amount: { value: 1, unit: 'kg' } }, '/data/amount', 'combination'],
  ['waste.handedOver', { amount: { value: 1, unit: 's' } }, '/data/amount/unit', 'unit'],
  ['obligation.done', { obligation: 'us wa' }, '/data/obligation', 'format'],
  ['obligation.done', { until: '2027-02-29' }, '/data/until', 'format'],
  ['inspection.held', { items: [{ item: 'x', due: 'soon' }] }, '/data/items/0/due', 'format'],
  ['site.configured', { zone: 'America/Bracken' }, '/data/zone', 'unknown-zone'],
  ['site.configured', { zone: '+05:00' }, '/data/zone', 'unknown-zone'],
  ['site.configured', { timeZone: 'UTC' }, '/data/timeZone', 'unknown-field'],
  [
    'site.configured',
    {
      lines: [
        { id: 'M1', method: 'manual' },
        { id: 'M1', method: 'chairside' },
      ],
    },
    '/data/lines/1',
    'repeated',
  ],
  ['site.configured', { tubes: [{ id: 'R1' }, { id: 'R2' }, { id: 'R1' }] }, '/data/tubes/2', 'repeated'],
  ['site.configured', { jurisdictions: ['US'] }, '/data/jurisdictions/0', 'format'],
  ['site.configured', { workingDays: [0] }, '/data/workingDays/0', 'out-of-range'],
  ['site.configured', { workingDays: [8] }, '/data/workingDays/0', 'out-of-range'],
  ['site.closed', { from: '2026-01-20' }, '/data/to', 'combination'],
  ['site.closed', { from: '2026-01-16T08:00' }, '/data/from', 'format'],
  ['event.retracted', { reason: null }, '/data/reason', 'missing'],
  ['event.retracted', { id: 'é' }, '/data/id', 'format'],
  ['finding.acknowledged', { finding: null }, '/data', 'combination'],
  ['finding.acknowledged', { finding: null, rule: 'a/b', topic: 'line:M1' }, '/data', 'combination'],
  ['finding.snoozed', { until: null }, '/data/until', 'missing'],
  ['finding.resolved', { action: null }, '/data/action', 'missing'],
  ['finding.resolved', { rootCause: 'x'.repeat(501) }, '/data/rootCause', 'length'],
  ['cause.confirmed', { rootCause: 'the heater' }, '/data/rootCause', 'format'],
];

describe('each type refuses what cannot be meant', () => {
  test.each(wrong)('%s with %j: %s is %s', (type, change, pointer, code) => {
    const event = exampleOf(type);
    for (const [name, value] of Object.entries(change)) {
      if (value === null) delete event.data[name];
      else event.data[name] = value;
    }
    expect(faultsOf(event).map((fault) => [fault.pointer, fault.code])).toEqual([[pointer, code]]);
  });

  test('every type is tried', () => {
    expect(new Set(wrong.map(([type]) => type))).toEqual(new Set(eventTypes));
  });

  test.each(eventTypes)('%s refuses a field it does not know, and a data of {}', (type) => {
    const event = exampleOf(type);
    event.data.bogus = 1;
    expect(faultsOf(event)).toMatchObject([{ pointer: '/data/bogus', code: 'unknown-field' }]);
    const accepts = new Set<EventType>(['day.opened', 'day.closed', 'inspection.held']);
    expect(faultsOf(exampleOf(type, {})).length > 0).toBe(!accepts.has(type));
  });
});

describe('ends of ranges are in, in whatever unit they are written', () => {
  const reading = (value: number, unit: string) =>
    faultsOf(exampleOf('bath.measured', { line: 'M1', bath: 'developer', temperature: { value, unit } })).map(
      ({ code }) => code,
    );
  test.each([
    [0, 'Cel'],
    [60, 'Cel'],
    [32, '[degF]'],
    [140, '[degF]'],
  ])('%d %s', (value, unit) => expect(reading(value, unit)).toEqual([]));
  test.each([
    [-0.01, 'Cel'],
    [60.01, 'Cel'],
    [31.99, '[degF]'],
    [140.01, '[degF]'],
    [1e300, 'Cel'],
  ])('%d %s is out', (value, unit) => expect(reading(value, unit)).toEqual(['out-of-range']));
});

describe('inside', () => {
  test('quantities are plain numbers in canonical units, wherever they stand', () => {
    expect(decoded(exampleOf('film.processed')).data).toEqual({
      line: 'M1',
      method: 'manual',
      count: 4,
      filmSize: '2',
      endpoint: 'timed',
      purpose: 'patient',
      developer: { temperature: (70 - 32) / 1.8, time: 270 },
      rinse: { time: 30 },
      fixer: { time: 600 },
      wash: { time: 1200 },
    });
    expect(decoded(exampleOf('tube.tested')).data).toEqual({
      tube: 'R1',
      test: 'output',
      settings: { tubeVoltage: 70, tubeCurrent: 7, time: 0.2 },
      readings: [{ kerma: 1.8 }, { kerma: 1.82 }],
    });
  });

  test('a density is the same number with and without its unit', () => {
    const read = (density: unknown) =>
      decoded(exampleOf('testfilm.read', { line: 'A1', kind: 'unexposed', asExpected: true, density })).data;
    expect(read({ value: 0.22, unit: '1' })).toEqual(read(0.22));
  });

  test('what was left out is filled in once: the purpose, the direction of no steps', () => {
    expect(canonicalData('film.processed', { line: 'M1', method: 'manual', count: 1, purpose: 'test' }).purpose).toBe(
      'test',
    );
    expect(canonicalData('film.processed', { line: 'M1', method: 'manual', count: 1 }).purpose).toBe('patient');
    expect(canonicalData('stepwedge.read', { line: 'M1', difference: { steps: 0 } }).difference).toEqual({
      steps: 0,
      direction: 'same',
    });
  });

  test('no quantity with a unit is left in any type, and JSON changes nothing', () => {
    fc.assert(
      fc.property(arbitraryEvent(exampleSite), (event) => {
        const { data } = decoded(event);
        expect(JSON.stringify(data)).not.toContain('"unit"');
        expect(JSON.parse(JSON.stringify(data))).toEqual(data);
      }),
      { numRuns: 500 },
    );
  });

  test('the data of site.configured is the configuration that the fold holds', () => {
    const data = decoded(exampleOf('site.configured')).data as EventData['site.configured'];
    const config: SiteConfig = data;
    expect(config.lines[0]).toEqual({ id: 'M1', method: 'manual', chemistry: 'standard' });
    expect(config.workingDays).toEqual([1, 2, 3, 4]);
  });

  test('a run knows its films, listed or counted', () => {
    expect(filmCount({ films: ['F-1', 'F-2'] })).toBe(2);
    expect(filmCount({ count: 7 })).toBe(7);
  });
});

describe('teeth', () => {
  test('the universal notation becomes ISO 3950', () => {
    const event = exampleOf('film.exposed');
    event.data.teeth = { universal: ['1', '16', '17', '19', '32', 'A', 'T'] };
    expect(decoded(event).data).toMatchObject({ teeth: ['18', '28', '38', '36', '48', '55', '85'] });
  });
  // https://en.wikipedia.org/wiki/Universal_Numbering_System, table of permanent and primary teeth
  test.each([
    ['3', '16'], ['8', '11'], ['9', '21'], ['14', '26'], ['24', '31'], ['25', '41'], ['30', '46'],
    ['E', '51'], ['F', '61'], ['J', '65'], ['K', '75'], ['O', '71'], ['P', '81'],
  ])('%s is %s', (universal, iso) => expect(isoOfUniversal(universal)).toBe(iso)); // prettier-ignore
  test('52 teeth in either notation, one to one', () => {
    expect(new Set(isoTeeth).size).toBe(52);
    expect(new Set(universalTeeth.map(isoOfUniversal))).toEqual(new Set(isoTeeth));
    expect(isoTeeth.every((tooth) => /^[1-4][1-8]$|^[5-8][1-5]$/.test(tooth))).toBe(true);
  });
});

test('one panoramic sheet is about 35 films of size 2 in area', () => {
  expect(filmArea('panoramic') / filmArea('2')).toBeCloseTo(35.4, 1);
  expect(filmSizes).toContain('cephalometric');
});

test('signs are named once', () => expect(new Set(signs).size).toBe(signs.length));
