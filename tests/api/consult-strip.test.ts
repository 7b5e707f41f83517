import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import { describeEachDatabase } from '../support/database.js';
import { type ApiUnderTest, configureOffice, event, startApi } from './server.js';

/** Net density of film that saturates like `most / (1 + (middle / exposure) ^ steepness)`. */
const net = (exposure: number) => 4 / (1 + (0.6 / exposure) ** 1.2);
const exposures = Array.from({ length: 12 }, (_, step) => 0.02 * 1.5 ** step);
const densities = [0.2, ...exposures.map((each) => Math.round(1000 * (0.2 + net(each))) / 1000)];
const kerma = exposures.map((value) => ({ value, unit: 'mGy' }));

describeEachDatabase('a question on a strip', (open) => {
  let api: ApiUnderTest;
  beforeAll(async () => {
    api = await startApi(open);
    await configureOffice(api);
  });
  afterAll(() => api.close());
  const ask = (body: object) => api.post('/v1/consult/strip', body);

  test('with air kerma: the curve, the speed point, the ISO speed and its group', async () => {
    const { body } = await ask({ densities, kerma }).expect(200);
    // 4 / (1 + (0.6 / x) ^ 1.2) is 1 at x = 0.6 / 3 ^ (1 / 1.2).
    const exact = 0.6 / 3 ** (1 / 1.2);
    expect(body.curve.speedPoint / exact).toBeCloseTo(1, 2);
    expect(body.curve.speed / (10 / exact)).toBeCloseTo(1, 2);
    expect(body.curve.group).toBe('E');
    // Between net 0.25 and 2.00: x = 0.6 / 15 ^ (1 / 1.2) and 0.6.
    expect(body.curve.averageGradient).toBeCloseTo((1.75 * 1.2) / Math.log10(15), 1);
    expect(body.fog).toBe('asNew');
    expect(body.text).toContain('There is no reference film to hold it against.');
    expect(body.caution).toContain('The dentist decides.');
  });

  test('with relative exposures there is a curve and no speed', async () => {
    const { body } = await ask({ densities, exposure: exposures }).expect(200);
    expect(body.curve.speedPoint).toBeDefined();
    expect(body.curve).not.toHaveProperty('speed');
  });

  test('against a reference film: in density and in steps', async () => {
    const reference = [0.2, 0.35, 0.6, 0.95, 1.4, 1.9, 2.3, 2.6];
    const { body } = await ask({ densities: [0.22, 0.25, 0.3, 0.4, 0.58, 1, 1.45, 2], reference, batch: 'B-1' }).expect(
      200,
    );
    expect(body.difference.density).toBeCloseTo(-0.82, 9);
    expect(body.difference.baseFog).toBeCloseTo(0.02, 9);
    expect(body.difference).toMatchObject({ direction: 'lighter', many: false, steps: 2 });
    expect(body.tells).toBe('processing');
    expect((await ask({ densities: [0.2, 0.21, 0.22, 0.25, 0.35, 0.5, 1, 2], reference })).body.difference.many).toBe(
      true,
    );
  });

  test('against the reference film of a line on record', async () => {
    const strip = { line: 'M1', densities: [0.2, 0.4, 0.85, 1.5], difference: { steps: 0 } };
    await api.send(event('stepwedge.read', strip, { time: '2026-03-11T15:00:00Z' })).expect(202);
    const asked = { site: 'brackenfold', line: 'M1' };
    const { body } = await ask({ ...asked, densities: [0.2, 0.38, 0.75, 1.4] }).expect(200);
    expect(body.difference.density).toBeCloseTo(-0.1, 9);
    expect(body.tells).toBe('unitAndProcessing');
    const short = await ask({ ...asked, densities: [0.2, 0.38, 0.75] }).expect(422);
    expect(short.body.errors[0]).toMatchObject({ pointer: '/densities', code: 'length' });
  });

  describe('a strip that tells nothing', () => {
    const with_ = (at: number, value: number) => densities.map((each, index) => (index === at ? value : each));
    test.each([
      ['flat', { densities: Array(13).fill(0.4), kerma }, '/densities'],
      ['a step out of order', { densities: with_(8, 0.3), kerma }, '/densities/8'],
      ['exposures out of order', { densities, exposure: [...exposures].reverse() }, '/exposure/1'],
      ['kerma out of order', { densities, kerma: [...kerma].reverse() }, '/kerma/1'],
      ['four steps', { densities: densities.slice(0, 5), kerma: kerma.slice(0, 4) }, '/kerma'],
      ['as many exposures as densities', { densities, exposure: [...exposures, 9] }, '/exposure'],
      ['a density beyond film', { densities: with_(3, 9) }, '/densities/3'],
      ['a negative density', { densities: with_(0, -0.1) }, '/densities/0'],
      ['both', { densities, kerma, exposure: exposures }, '/kerma'],
      ['a line without its site', { densities, line: 'M1' }, '/line'],
      ['a reference beyond film', { densities: [0.2, 1], reference: [0.2, 8] }, '/reference/1'],
      [
        'mixed units',
        { densities, kerma: kerma.map((each, n) => (n === 0 ? { value: 1, unit: 's' } : each)) },
        '/kerma/0/unit',
      ],
    ])('%s', async (_, body, pointer) => {
      const answer = await ask(body).expect(422);
      expect(answer.body.errors.map((each: { pointer: string }) => each.pointer)).toContain(pointer);
    });
  });
});
