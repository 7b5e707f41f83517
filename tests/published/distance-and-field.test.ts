import { describe, expect, test } from '@jest/globals';
import { judgeGeometry } from '../../src/radiography/tube-tests/geometry.js';
import { answered } from './answer.js';

const unit = { distance: 200, field: 60, highestVoltage: 70 };

/** OAR 333-106-0325(1)-(2), https://oregon.public.law/rules/oar_333-106-0325 */
describe('Oregon', () => {
  test.each([
    [180, true, 70],
    [179.9, false, 60],
    [305, true, 70],
  ])('%d mm from source to skin', (distance, isFarEnough, largestField) => {
    expect(answered(judgeGeometry('us-or', { ...unit, distance }))).toMatchObject({
      leastDistance: 180,
      isFarEnough,
      largestField,
    });
  });
  test.each([
    [180, 70, true],
    [180, 70.1, false],
    [170, 60, true],
    [170, 60.1, false],
  ])('at %d mm a field of %d mm', (distance, field, isWithinField) => {
    expect(answered(judgeGeometry('us-or', { ...unit, distance, field })).isWithinField).toBe(isWithinField);
  });
});

/**
 * 105 CMR 120.407(B)(1): 18 cm where the unit can run above 50 kV, else 10 cm.
 * https://regulations.justia.com/states/massachusetts/105-cmr/title-105-cmr-120-000/recordkeeping-requirements/section-120-407
 */
test.each([
  [50, 100],
  [50.1, 180],
  [70, 180],
])('Massachusetts: a unit of up to %d kV needs %d mm', (highestVoltage, leastDistance) => {
  const verdict = answered(judgeGeometry('us-ma', { ...unit, highestVoltage }));
  expect(verdict.leastDistance).toBe(leastDistance);
  expect(verdict).not.toHaveProperty('isWithinField');
});

/**
 * WAC 246-225A-080: 18 cm, and at most 7 cm there.
 * http://www.mrsc.org/mc/wac/wac%20246%20%20title/wac%20246%20-225a%20chapter/wac%20246%20-225a-080.htm
 */
test.each([
  [180, 70, true, true],
  [179, 70, false, true],
  [180, 71, true, false],
])('Washington: %d mm, field %d mm', (distance, field, isFarEnough, isWithinField) => {
  expect(answered(judgeGeometry('us-wa', { ...unit, distance, field }))).toEqual({
    leastDistance: 180,
    isFarEnough,
    largestField: 70,
    isWithinField,
  });
});

test('where codes disagree, the answer is that of the code which was named', () => {
  const short = { distance: 120, field: 58, highestVoltage: 50 };
  expect(answered(judgeGeometry('us-ma', short)).isFarEnough).toBe(true);
  expect(answered(judgeGeometry('us-wa', short)).isFarEnough).toBe(false);
});
