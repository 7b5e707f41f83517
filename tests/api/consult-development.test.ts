import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import { describeEachDatabase } from '../support/database.js';
import { type ApiUnderTest, configureOffice, event, startApi } from './server.js';

const degF = (value: number) => ({ value, unit: '[degF]' });
const min = (value: number) => ({ value, unit: 'min' });

const sheet = `
pack: office/sheet
version: 1.0.0
title: Sheet of the house developer
authority: Maker of the house developer
layer: maker
citation: { text: sheet in the drawer, read: text }
charts:
  - id: office/house-developer
    title: House developer, sheet
    answers: development-time-min
    by: run.developer.temperature
    gives: run.developer.time
    for: { method: [manual, automatic], product: house }
    units: { by: '[degF]', gives: min }
    rows:
      - [66, 6.5]
      - [68, 6]
      - [70, 5]
      - [72, 4.5]
`;

const washing = `
pack: office/washing
version: 1.0.0
title: Washing in cold water
authority: House rule
layer: clinic
citation: { text: house rule, read: practice }
charts:
  - id: office/wash-chart
    title: House washing times
    answers: wash-time-min
    by: wash.temperature
    gives: run.wash.time
    for: { method: manual }
    units: { by: '[degF]', gives: min }
    rows:
      - [50, 30]
      - [60, 20]
      - [70, 10]
      - [80, 10]
limits:
  - id: wash-time-min
    of: run.wash.time
    for: { method: manual }
    min: { chart: office/wash-chart }
    severity: warning
`;

describeEachDatabase('a question on development', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open);
    await configureOffice(api);
  });
  afterAll(() => api.close());

  const ask = (body: object) => api.post('/v1/consult/development', body);
  const at70 = { method: 'manual', temperature: degF(70) };

  describe('without a site', () => {
    test('common practice answers, and says so', async () => {
      const { body } = await ask(at70).expect(200);
      expect(body).toMatchObject({ time: 270, chart: 'Common time-temperature chart', chemistry: 'standard' });
      expect(body.text).toBe('Develop 4:30 at 70 F (21.1 C), by Common time-temperature chart.');
      expect(body.why).toContain('It is common practice, not law.');
      expect(body.caution).toContain('The dentist decides.');
    });

    test.each([
      ['us-wa', 'Washington time-temperature chart', 'alternative'],
      ['us-mn', 'Minnesota time-temperature chart', 'fallback'],
    ])('under the law of %s its own chart, with its role', async (place, chart, role) => {
      const { body } = await ask({ ...at70, jurisdictions: ['us', place] }).expect(200);
      expect(body).toMatchObject({ time: 270, chart, source: { layer: 'state', role } });
      expect(body.asked).toHaveLength(2);
      expect(body.why[0]).toContain('no maker’s sheet is on file');
    });

    test('either unit; between two rows the colder one', async () => {
      expect((await ask({ method: 'manual', temperature: { value: 20, unit: 'Cel' } })).body.time).toBe(300);
      expect((await ask({ method: 'manual', temperature: degF(68.9) })).body.time).toBe(300);
      expect((await ask({ method: 'manual', temperature: degF(62) })).body.time).toBe(480);
    });

    test.each([
      [59, 'begins at 60 F'],
      [80.5, 'ends at 80 F'],
    ])('at %d F no chart answers', async (fahrenheit, because) => {
      const { body } = await ask({ ...at70, temperature: degF(fahrenheit), jurisdictions: ['us-wa'] }).expect(200);
      expect(body).toMatchObject({ time: null, chart: null, source: null });
      expect(body.why.join(' ')).toContain(because);
      expect(body.why.join(' ')).toContain('Washington time-temperature chart');
    });

    test('where the copy of a law is doubtful it is silent, and the common chart answers by its own name', async () => {
      const { body } = await ask({ method: 'manual', temperature: degF(77), jurisdictions: ['us-nm'] }).expect(200);
      expect(body).toMatchObject({ time: 150, source: { layer: 'practice' } });
      expect(body.why.join(' ')).toContain('no sound row here');
    });

    test.each(['automatic', 'chairside'])('for %s processing there is no chart: the sheet decides', async (method) => {
      const { body } = await ask({ method, temperature: degF(82) }).expect(200);
      expect(body).toMatchObject({ time: null, asked: [] });
      expect(body.why[0]).toContain('the maker’s sheet');
    });

    test('the charts are for standard chemistry only', async () => {
      expect((await ask({ ...at70, chemistry: 'rapid' })).body.time).toBeNull();
    });

    test.each([
      [3.5, 'under', -60, '1:00 too short.'],
      [4.5, 'on', 0, 'On the chart’s time.'],
      [5, 'on', 30, '0:30 over the chart’s time, and still no mistake.'],
      [6, 'over', 90, '1:30 over, and 5:00 is the longest that is still no mistake.'],
    ])('%d min at 70 F: %s', async (time, stands, off, text) => {
      const { body } = await ask({ ...at70, time: min(time) }).expect(200);
      expect(body.given).toMatchObject({ stands, off, text, most: 300 });
    });

    test('fixing by the clearing time, and when it has doubled', async () => {
      const { body } = await ask({ ...at70, fixer: { clearing: min(2), fresh: min(1) } }).expect(200);
      expect(body.fixing).toMatchObject({ least: 240, longest: 900, ratio: 2, exhausted: true });
      expect(body.fixing.text).toContain('change the fixer');
      expect((await ask({ ...at70, fixer: { clearing: min(8) } })).body.fixing.text).toContain('Change the fixer.');
      expect((await ask(at70)).body.fixing).toMatchObject({ least: 600 });
    });

    test('washing, without a temperature and with one', async () => {
      const { body } = await ask({ ...at70, wash: { temperature: degF(55) } }).expect(200);
      expect(body.washing).toMatchObject({ least: 600, source: { layer: 'practice' } });
      expect(body.washing.text).toContain('No washing time by temperature is in force');
    });
  });

  describe('what cannot be answered is said in words', () => {
    test.each([
      [{ method: 'manual' }, '/temperature', 'missing'],
      [{ temperature: degF(70) }, '/method', 'missing'],
      [{ ...at70, temperature: { value: 70, unit: 's' } }, '/temperature/unit', 'unit'],
      [{ ...at70, temperature: degF(700) }, '/temperature/value', 'out-of-range'],
      [{ ...at70, temperature: { value: '70', unit: '[degF]' } }, '/temperature/value', 'wrong-type'],
      [{ ...at70, time: { value: 0, unit: 's' } }, '/time/value', 'out-of-range'],
      [{ ...at70, time: { value: -5, unit: 'min' } }, '/time/value', 'out-of-range'],
      [{ ...at70, temprature: 1 }, '/temprature', 'unknown-field'],
      [{ ...at70, jurisdictions: ['wa'] }, '/jurisdictions/0', 'unknown-jurisdiction'],
      [{ ...at70, line: 'M1' }, '/line', 'combination'],
      [{ ...at70, site: 'brackenfold', jurisdictions: ['us'] }, '/jurisdictions', 'combination'],
      [{ ...at70, site: 'brackenfold', line: 'M2' }, '/line', 'unknown-line'],
      [{ ...at70, at: 'yesterday' }, '/at', 'format'],
    ])('%j', async (body, pointer, code) => {
      const answer = await ask(body).expect(422);
      expect(answer.body.errors).toContainEqual(expect.objectContaining({ pointer, code }));
    });
    test('a site that is not there', async () => {
      expect((await ask({ ...at70, site: 'nowhere' }).expect(404)).body.code).toBe('unknown-site');
    });
  });

  describe('at a site', () => {
    test('its only line of the method, its law, and the clearing time on record', async () => {
      await api.send([
        event('fixer.cleared', { line: 'M1', time: min(1) }, { time: '2026-03-10T16:00:00Z' }),
        event('fixer.cleared', { line: 'M1', time: min(1.5) }, { time: '2026-03-11T16:00:00Z' }),
      ]);
      const { body } = await ask({ ...at70, site: 'brackenfold' }).expect(200);
      expect(body).toMatchObject({
        site: 'brackenfold',
        line: 'M1',
        time: 270,
        chart: 'Washington time-temperature chart',
      });
      expect(body.fixing).toMatchObject({ least: 180, ratio: 1.5, exhausted: false });
    });

    test('the maker’s sheet on file comes first where the law takes either, and its own chart where the sheet is silent', async () => {
      await api.putText('/v1/packs/office/sheet', sheet).expect(201);
      await api.send(
        event(
          'chemistry.changed',
          { line: 'M1', bath: 'developer', kind: 'standard', product: 'house' },
          { time: '2026-03-11T18:30:00Z' },
        ),
      );
      const asked = { site: 'brackenfold', line: 'M1' };
      const { body } = await ask({ ...asked, temperature: degF(70) }).expect(200);
      expect(body).toMatchObject({ method: 'manual', time: 300, chart: 'House developer, sheet' });
      expect(body.why[0]).toMatch(/^The maker’s sheet on file answers: Washington .* accepts it/);
      // At 76 F the sheet has ended: the state's chart, never a mean of the two.
      const warm = await ask({ ...asked, temperature: degF(76) }).expect(200);
      expect(warm.body).toMatchObject({ time: 180, chart: 'Washington time-temperature chart' });
      expect(warm.body.why[0]).toContain('the maker’s sheet on file has no answer here');
    });
  });

  test('a chart of washing times is looked up with the temperature asked about, else that on record', async () => {
    await api.putText('/v1/packs/office/washing', washing).expect(201);
    const asked = { ...at70, site: 'brackenfold' };
    const cold = await ask({ ...asked, wash: { temperature: degF(58) } }).expect(200);
    expect(cold.body.washing).toMatchObject({
      least: 1800,
      source: { layer: 'clinic', chart: { title: 'House washing times' } },
    });
    // Nothing is known of the water: the common ten minutes are what is left.
    expect((await ask(asked)).body.washing).toMatchObject({ least: 600, source: { layer: 'practice' } });
    const read = { line: 'M1', bath: 'wash', temperature: degF(62) };
    await api.send(event('bath.measured', read, { time: '2026-03-11T18:50:00Z' }));
    expect((await ask(asked)).body.washing).toMatchObject({ least: 1200 });
  });

  test('nothing is stored by asking', async () => {
    const before = (await api.get('/v1/sites/brackenfold')).body.events;
    await ask({ ...at70, site: 'brackenfold', time: min(1) }).expect(200);
    expect((await api.get('/v1/sites/brackenfold')).body.events).toBe(before);
    expect((await api.get('/v1/findings?rule=common/processing-times/development-short')).body.items).toEqual([]);
  });
});
