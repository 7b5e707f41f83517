import { expect, test } from '@jest/globals';
import { funnelLimits } from '../../src/statistics/funnel.js';
import { pareto } from '../../src/statistics/pareto.js';
import { wilson } from '../../src/statistics/wilson.js';
import { answered } from './answer.js';

test('J Dent Educ 2018;82:61-68 (pubmed 29292327): 1,064 of 9,397, printed as 11 %; the interval is derived', () => {
  const { low, high } = answered(wilson(1064, 9397));
  expect(Math.round((100 * 1064) / 9397)).toBe(11);
  expect(low).toBeCloseTo(0.107, 4);
  expect(high).toBeCloseTo(0.1198, 4);
});

test('Contemp Clin Dent 2015;6:392-395 (10.4103/0976-237X.161898): causes of repeats; what is not listed is a row of its own', () => {
  const rows = answered(pareto(new Map(Object.entries({ placement: 11.2, positioning: 38.7, angulation: 26.1 }))));
  const told = rows.map(({ name, share, cumulative }) => [name, share.toFixed(1), cumulative.toFixed(1)]);
  expect(told).toEqual([
    ['positioning', '38.7', '38.7'],
    ['angulation', '26.1', '64.8'],
    ['placement', '11.2', '76.0'],
    [undefined, '24.0', '100.0'],
  ]);
});

test('one hospital (jurnal.unimus.ac.id 10595): 4 of 232 are 1.7 %, within a 2 % that is its own and binds nobody', () => {
  expect(((100 * 4) / 232).toFixed(1)).toBe('1.7');
  const { low, high } = answered(wilson(4, 232));
  // Of 232 films nobody can say that the share is under 2 %.
  expect(low < 0.02 && 0.02 < high).toBe(true);
});

test.each([
  [0.95, 0.0412, 0.1588],
  [0.998, 0.0073, 0.1927],
])('funnel of Spiegelhalter at 10 %% of 100, level %d: derived from the printed formula', (level, low, high) => {
  const limits = answered(funnelLimits(0.1, 100, level));
  expect(limits.low).toBeCloseTo(low, 4);
  expect(limits.high).toBeCloseTo(high, 4);
});
