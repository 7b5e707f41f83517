import { afterAll, beforeAll, expect, test } from '@jest/globals';
import { describeEachDatabase } from '../support/database.js';
import { type ApiUnderTest, configureOffice, event, noon, startApi } from './server.js';

const day = 86_400_000;

describeEachDatabase('a measure over time', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open);
    await configureOffice(api);
    const strips = Array.from({ length: 10 }, (_, n) => {
      const densities = [0.2, 0.4, Math.round(1000 * (0.85 - 0.01 * n)) / 1000, 1.5, 2];
      const data = { line: 'M1', densities, ...(n === 0 ? { difference: { steps: 0 } } : {}) };
      return event('stepwedge.read', data, { time: new Date(noon - (10 - n) * day).toISOString() });
    });
    await api.send(strips).expect(200);
  });
  afterAll(() => api.close());
  const at = '/v1/sites/brackenfold/measures';

  test('as JSON: readings, limits, signals and a forecast, and the same in words', async () => {
    const { body } = await api.get(`${at}/wedge.density`).expect(200);
    const [chart] = body.items;
    expect(body.items).toHaveLength(1);
    expect(chart).toMatchObject({ line: 'M1', rule: 'common/trends/wedge-drift' });
    expect(chart.readings.map(({ value }: { value: number }) => Number(value.toFixed(3)))).toEqual([
      0, -0.01, -0.02, -0.03, -0.04, -0.05, -0.06, -0.07, -0.08, -0.09,
    ]);
    // The mean of the first five strips; the line loses 0.01 a day and stands at -0.09 a day ago.
    expect(chart.centre).toBeCloseTo(-0.02, 9);
    expect(chart.forecast.days).toBeCloseTo(5, 6);
    expect(chart.forecast.earliest).toBeLessThan(5);
    expect(chart.forecast.latest).toBeGreaterThan(5);
    expect(chart.text).toContain('at the limit wedge-density in about 5 days');
    const found = await api.get('/v1/findings?rule=common/trends/wedge-drift').expect(200);
    expect(found.body.items).toHaveLength(1);
    expect(found.body.items[0].facts).toMatchObject({ 'trend.direction': 'falling', 'trend.crosses': true });
  });

  test('before there were enough readings it has none of that', async () => {
    const early = new Date(noon - 7 * day).toISOString();
    const { body } = await api.get(`${at}/wedge.density?at=${early}`).expect(200);
    expect(body.items[0].readings).toHaveLength(4);
    expect(body.items[0].centre).toBeUndefined();
    expect(body.items[0].text).toContain('too few for limits');
  });

  test('as CSV and as a picture with its words', async () => {
    const csv = await api.get(`${at}/wedge.density`).set('Accept', 'text/csv').expect(200);
    const rows = csv.text.trim().split('\r\n');
    expect(rows).toHaveLength(11);
    expect(rows[0]?.split(',')).toHaveLength(rows[1]?.split(',').length ?? 0);
    const { body } = await api.get(`${at}/wedge.density?of=M1`).set('Accept', 'image/svg+xml').expect(200);
    const svg = String(body);
    expect(svg).toMatch(/^<svg role="img" aria-label="Middle step of the strip[^"]* M1: 10 readings/);
    expect(svg).toContain('<desc>');
    expect(svg).not.toContain('NaN');
  });

  test('what is no measure, has none here, or is of no site', async () => {
    const wrong = await api.get(`${at}/wedge.densty`).expect(404);
    expect(wrong.body).toMatchObject({ code: 'unknown-measure' });
    expect(wrong.body.detail).toContain('Did you mean wedge.density?');
    expect((await api.get(`${at}/fixer.clearingTime`).expect(200)).body.items).toEqual([]);
    await api.get(`${at}/fixer.clearingTime`).set('Accept', 'image/svg+xml').expect(404);
    await api.get(`${at}/wedge.density`).set('Accept', 'image/png').expect(406);
    expect((await api.get('/v1/sites/nowhere/measures/wedge.density').expect(404)).body.code).toBe('unknown-site');
    await api.get(`${at}/__proto__`).expect(404);
  });
});
