import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import { exposureExample } from '../../src/api/schemas/exposure.js';
import { describeEachDatabase } from '../support/database.js';
import { type ApiUnderTest, configureOffice, event, startApi } from './server.js';

const kV = (value: number) => ({ value, unit: 'kV' });
const mA = (value: number) => ({ value, unit: 'mA' });
const s = (value: number) => ({ value, unit: 's' });
const mm = (value: number) => ({ value, unit: 'mm' });
const inch = (value: number) => ({ value, unit: '[in_i]' });
const known = { tubeVoltage: kV(70), tubeCurrent: mA(7), time: s(0.4) };
const output = {
  kerma: { value: 1.5, unit: 'mGy' },
  charge: { value: 2.8, unit: 'mA.s' },
  tubeVoltage: kV(70),
  distance: mm(203),
};

const wall = `
pack: office/technique
version: 1.0.0
title: Technique charts
authority: The office
layer: clinic
citation: { text: measured at installation, read: practice }
techniques:
  - id: office/wall
    title: Technique chart of R1
    for: { tube: R1 }
    filmSpeed: F
    tubeVoltage: 70 kV
    tubeCurrent: 7 mA
    rows:
      - { view: BW_R, patientSize: adult, time: 0.25 s }
      - { view: BW_R, patientSize: child, time: 0.16 s }
`;

describeEachDatabase('a question on exposure', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open);
    await configureOffice(api);
  });
  afterAll(() => api.close());
  const ask = (body: object) => api.post('/v1/consult/exposure', body);

  test('one step after another, each with its factor, its rule and its source', async () => {
    const { body } = await ask(exposureExample).expect(200);
    // D to F leaves 0.4; 426 mm for 223 mm takes 3.649 times.
    expect(body.steps.map(({ step, rule }: { step: string; rule: string }) => [step, rule])).toEqual([
      ['speed', 'published-reductions'],
      ['distance', 'distance'],
    ]);
    expect(body.steps[0].factor).toBeCloseTo(0.4, 9);
    expect(body.steps[1].factor).toBeCloseTo(((406.4 + 20) / (203.2 + 20)) ** 2, 9);
    expect(body.time).toBeCloseTo(0.4 * 0.4 * 3.6495, 3);
    expect(body.charge).toBeCloseTo(7 * body.time, 9);
    // 0.584 s are 35.03 impulses at 60 Hz.
    expect(body.pulses.pulses).toBe(35);
    expect(body.pulses.off).toBeCloseTo(100 * (35 / (60 * body.time) - 1), 9);
    expect(body.steps[1].text).toContain(
      'by the lengths of the cones alone it would be 4 times, 9.6 % too much'.replace('by', 'By'),
    );
    expect(body.steps.every(({ source }: { source: { url?: string } }) => source.url !== undefined)).toBe(true);
    expect(body.caution).toContain('The dentist decides.');
  });

  test.each([
    ['15-kVp', 0.2],
    ['15-percent', 0.4 * 2 ** -(Math.log(85 / 70) / Math.log(1.15))],
  ])('85 for 70 kV by the rule %s, which is named and marked as read nowhere', async (voltageRule, time) => {
    const { body } = await ask({ known, wanted: { tubeVoltage: kV(85) }, voltageRule }).expect(200);
    expect(body.time).toBeCloseTo(time, 9);
    expect(body.steps).toMatchObject([{ step: 'voltage', rule: voltageRule, source: { read: 'practice' } }]);
    expect(body.steps[0].source).not.toHaveProperty('url');
  });

  test('another source of film speeds gives another answer, and is named', async () => {
    const asked = { known: { ...known, filmSpeed: 'D' }, wanted: { filmSpeed: 'F' } };
    const [one, other] = [await ask(asked), await ask({ ...asked, speedSource: 'group-bounds' })];
    expect(one.body.time).toBeCloseTo(0.16, 9);
    expect(other.body.time).toBeCloseTo(0.1, 9);
    expect([one, other].map(({ body }) => body.steps[0].rule)).toEqual(['published-reductions', 'group-bounds']);
  });

  test('twice the current, half the time; nothing wanted, nothing changed', async () => {
    expect((await ask({ known, wanted: { tubeCurrent: mA(14) } })).body.time).toBeCloseTo(0.2, 9);
    const { body } = await ask({ known }).expect(200);
    expect(body).toMatchObject({ time: 0.4, steps: [] });
  });

  test('pulses in, pulses out, at either mains', async () => {
    const inPulses = { tubeVoltage: kV(70), tubeCurrent: mA(7), pulses: 12 };
    expect((await ask({ known: inPulses, mains: 60 })).body).toMatchObject({
      time: 0.2,
      pulses: { pulses: 12, off: 0 },
    });
    expect((await ask({ known: inPulses, mains: 50 })).body.time).toBeCloseTo(0.24, 9);
  });

  test('how far an exposure that was made is from it', async () => {
    const { body } = await ask({ known, given: { time: s(0.5) } }).expect(200);
    expect(body.given.ratio).toBeCloseTo(1.25, 9);
    expect(body.given.text).toBe('1.25 times the exposure asked for, 25 % over.');
  });

  describe('an estimate', () => {
    test('from the measured output, beside every level, and with what it leaves out', async () => {
      const { body } = await ask({ known, output, field: { diameter: mm(60) } }).expect(200);
      // 1.5 mGy for 2.8 mA s, at 2.8 mA s.
      expect(body.estimate.kerma).toBeCloseTo(1.5, 9);
      expect(body.estimate.areaProduct).toBeCloseTo((1.5 * Math.PI * 900) / 100, 6);
      expect(body.estimate.levels.map(({ kerma }: { kerma: number }) => kerma)).toEqual([2.4, 3.1, 2.4]);
      expect(body.estimate.levels.every(({ within }: { within: boolean }) => within)).toBe(true);
      expect(body.estimate.leftOut.length).toBeGreaterThanOrEqual(3);
      expect(body.estimate.text).toContain('an estimate');
    });

    test('above a level it asks why; the level is no limit', async () => {
      const { body } = await ask({ known: { ...known, time: s(0.7) }, output }).expect(200);
      expect(body.estimate.kerma).toBeCloseTo(2.625, 9);
      expect(body.estimate.text).toContain('above the reference level of Ireland (2.4 mGy), United Kingdom (2.4 mGy)');
      expect(body.estimate.text).toContain('no limit for a patient');
    });

    test('carried to the end of a longer cone by the inverse square', async () => {
      const { body } = await ask({ known, output, coneEnd: mm(406) }).expect(200);
      expect(body.estimate.kerma).toBeCloseTo(1.5 / 4, 9);
    });

    test('the part of it that went into retakes', async () => {
      const { body } = await ask({ known, output, films: { exposures: 40, retakes: 4 } }).expect(200);
      expect(body.estimate.avoidable).toMatchObject({ of: 'kerma', share: 10 });
      expect(body.estimate.avoidable.total).toBeCloseTo(60, 9);
      expect(body.estimate.avoidable.avoidable).toBeCloseTo(6, 9);
    });
  });

  describe('what cannot be answered is said in words', () => {
    test.each([
      [{}, '/known/tubeVoltage', 'missing'],
      [{ known: { ...known, time: undefined } }, '/known/time', 'missing'],
      [{ known: { ...known, pulses: 12 } }, '/known/pulses', 'combination'],
      [{ known: { tubeVoltage: kV(70), tubeCurrent: mA(7), pulses: 12 } }, '/mains', 'missing'],
      [{ known, wanted: { tubeVoltage: kV(120) } }, '/wanted/tubeVoltage', 'out-of-range'],
      [{ known, wanted: { tubeCurrent: mA(0) } }, '/wanted/tubeCurrent', 'out-of-range'],
      [{ known: { ...known, tubeCurrent: mA(-7) } }, '/known/tubeCurrent/value', 'out-of-range'],
      [{ known: { ...known, time: kV(1) } }, '/known/time/unit', 'unit'],
      [{ known, wanted: { filmSpeed: 'F' } }, '/known/filmSpeed', 'missing'],
      [{ known, wanted: { distance: mm(400) } }, '/known/distance', 'missing'],
      [{ known: { ...known, filmSpeed: 'C' }, wanted: { filmSpeed: 'F' } }, '/known/filmSpeed', 'out-of-range'],
      [
        { known: { ...known, distance: mm(220), cone: { length: inch(8), behind: mm(20) } } },
        '/known/cone',
        'combination',
      ],
      [{ known, output: { ...output, tubeVoltage: kV(60) } }, '/output/tubeVoltage', 'combination'],
      [{ known, films: { exposures: 4, retakes: 1 } }, '/films', 'combination'],
      [{ known, output, films: { exposures: 4, retakes: 5 } }, '/films/retakes', 'out-of-range'],
      [{ known, tube: 'R1' }, '/tube', 'combination'],
      [{ known, site: 'brackenfold', tube: 'R9' }, '/tube', 'unknown-tube'],
      [{ site: 'brackenfold', tube: 'R1', view: 'BW_R' }, '/view', 'not-allowed'],
      [{ known, given: {} }, '/given/time', 'missing'],
      [{ known, given: { tubeVoltage: kV(30), time: s(0.2) } }, '/given/tubeVoltage', 'out-of-range'],
    ])('%j', async (body, pointer, code) => {
      const answer = await ask(body).expect(422);
      expect(answer.body.errors).toContainEqual(expect.objectContaining({ pointer, code }));
    });
  });

  describe('at a site with a technique chart', () => {
    beforeAll(async () => {
      await api.putText('/v1/packs/office/technique', wall).expect(201);
    });
    const at = { site: 'brackenfold', tube: 'R1', view: 'BW_R' };

    test('the chart gives the known exposure for the view and the size of the patient', async () => {
      const { body } = await ask({ ...at, patientSize: 'child' }).expect(200);
      expect(body).toMatchObject({
        time: 0.16,
        steps: [],
        expected: { title: 'Technique chart of R1', patientSize: 'child' },
      });
      // Another film than the chart's: gone on from the chart by one more step.
      const slower = await ask({ ...at, patientSize: 'adult', wanted: { filmSpeed: 'E' } }).expect(200);
      expect(slower.body).toMatchObject({ expected: { filmSpeed: 'F' }, steps: [{ step: 'speed' }] });
      expect(slower.body.time).toBeCloseTo(0.25 / 0.75, 9);
    });

    test('what an exposure was against it', async () => {
      const { body } = await ask({ ...at, patientSize: 'adult', given: { time: s(0.35) } }).expect(200);
      expect(body.given.ratio).toBeCloseTo(1.4, 9);
    });

    test('retakes on record tell the avoidable part', async () => {
      const exposed = Array.from({ length: 10 }, (_, n) =>
        event(
          'film.exposed',
          { film: `F-${n}`, tube: 'R1', ...(n > 7 ? { retakeOf: `F-${n - 8}` } : {}) },
          { time: `2026-03-11T17:${10 + n}:00Z` },
        ),
      );
      await api.send(exposed).expect(200);
      const { body } = await ask({ ...at, patientSize: 'adult', output }).expect(200);
      expect(body.estimate.avoidable).toMatchObject({ of: 'kerma', share: 20 });
    });
  });
});
