import { describe, expect, test } from '@jest/globals';
import ucum from '@lhncbc/ucum-lhc';
import fc from 'fast-check';
import {
  atLeast,
  atMost,
  canonicalOf,
  canonicalUnit,
  dimensionOf,
  dimensions,
  fromCanonical,
  parseQuantity,
  same,
  toCanonical,
  unitMeant,
  unitsOf,
} from '../../src/events/units.js';

const everyUnit = dimensions.flatMap((dimension) => unitsOf(dimension).map((unit) => [dimension, unit] as const));

describe('the unit table against the UCUM library of the US National Library of Medicine', () => {
  const outside = ucum.UcumLhcUtils.getInstance();

  test.each(everyUnit)('%s: %s is a UCUM code', (_, unit) => {
    // '1' is UCUM's unity; that library knows it only inside expressions such as 10*2.
    if (unit === '1') expect(outside.validateUnitString('10*0').status).toBe('valid');
    else expect(outside.validateUnitString(unit)).toMatchObject({ status: 'valid', ucumCode: unit });
  });

  const convertible = everyUnit.filter(([, unit]) => unit !== '1');
  test.each(convertible)('%s: %s converts to the canonical unit as it does there', (dimension, unit) => {
    for (const value of [0.37, 1, 20, 68, 451.5]) {
      const theirs = outside.convertUnitTo(unit, value, canonicalUnit(dimension));
      expect(theirs.status).toBe('succeeded');
      const ours = canonicalOf(value, unit)?.value ?? NaN;
      expect(Math.abs(ours - (theirs.toVal ?? NaN))).toBeLessThan(1e-9 * Math.max(1, Math.abs(ours)));
    }
  });
});

describe('conversion', () => {
  test('whole-number ratios give exact answers where there is one', () => {
    expect(toCanonical(68, '[degF]')).toBe(20);
    expect(toCanonical(32, '[degF]')).toBe(0);
    expect(toCanonical(4.5, 'min')).toBe(270);
    expect(toCanonical(500, 'uGy')).toBe(0.5);
    expect(toCanonical(1, '[in_i]')).toBe(25.4);
    expect(toCanonical(1, '[gal_us]')).toBe(3785.411784);
    expect(Object.is(toCanonical(-0, 's'), 0)).toBe(true);
  });

  test('there and back is the same value, in every unit', () => {
    fc.assert(
      fc.property(fc.constantFrom(...everyUnit), fc.double({ min: -1e6, max: 1e6, noNaN: true }), ([, unit], value) => {
        expect(same(fromCanonical(toCanonical(value, unit), unit), value)).toBe(true);
      }),
    );
  });

  test('unknown codes, and codes in another case, are not units', () => {
    expect(canonicalOf(70, 'F')).toBeUndefined();
    expect(dimensionOf('cel')).toBeUndefined();
    expect(dimensionOf('constructor')).toBeUndefined();
    expect(() => toCanonical(1, 'furlong')).toThrow(RangeError);
    expect(() => fromCanonical(1, 'furlong')).toThrow(RangeError);
  });

  test('the canonical unit is the first of its dimension and converts to itself', () => {
    for (const dimension of dimensions) {
      expect(unitsOf(dimension)[0]).toBe(canonicalUnit(dimension));
      expect(canonicalOf(7.25, canonicalUnit(dimension))).toEqual({ value: 7.25, dimension });
    }
    expect(dimensions.map(canonicalUnit)).toEqual([
      'Cel',
      'K',
      's',
      'mm',
      'mm2',
      'mL',
      'g',
      'kV',
      'mA',
      'mA.s',
      'mGy',
      'mR',
      'W',
      '1',
      '%',
    ]);
  });
});

describe('quantities as packs write them', () => {
  test.each([
    ['76 [degF]', 76, '[degF]', 24.444444444444443, 'temperature'],
    ['3.5 min', 3.5, 'min', 210, 'time'],
    ['0.05 1', 0.05, '1', 0.05, 'number'],
    ['-4 Cel', -4, 'Cel', -4, 'temperature'],
    ['1e2 mGy', 100, 'mGy', 100, 'kerma'],
    ['  24 h ', 24, 'h', 86_400, 'time'],
  ])('%s', (text, value, unit, canonical, dimension) => {
    expect(parseQuantity(text)).toEqual({ value, unit, canonical, dimension });
  });
  test.each([
    '',
    '76',
    '76 F',
    '[degF] 76',
    '76[degF]',
    '1,5 min',
    '5 min later',
    '1e999 s',
    'NaN s',
    '9'.repeat(80) + ' s',
  ])('not a quantity: %s', (text) => expect(parseQuantity(text)).toBeUndefined());
});

test('the unit a person meant', () => {
  const temperature = unitsOf('temperature');
  expect(unitMeant('F', temperature)).toBe('[degF]');
  expect(unitMeant('celsius', temperature)).toBe('Cel');
  expect(unitMeant('CEL', temperature)).toBe('Cel');
  expect(unitMeant('sec', temperature)).toBeUndefined();
  expect(unitMeant('constructor', temperature)).toBeUndefined();
});

describe('comparisons forgive binary fractions and nothing else', () => {
  test('0.95 - 0.85 is not below 0.10, nor above it', () => {
    const difference = 0.95 - 0.85;
    expect(difference < 0.1).toBe(true);
    expect(atLeast(difference, 0.1)).toBe(true);
    expect(atMost(difference, 0.1)).toBe(true);
  });
  test('a limit in one unit is met exactly by the same value in the other', () => {
    for (let tenths = 320; tenths <= 1400; tenths += 1) {
      const fahrenheit = tenths / 10;
      const celsius = ((fahrenheit - 32) * 5) / 9;
      expect(atLeast(toCanonical(fahrenheit, '[degF]'), toCanonical(Number(celsius.toFixed(12)), 'Cel'))).toBe(true);
      expect(atMost(toCanonical(fahrenheit, '[degF]'), toCanonical(Number(celsius.toFixed(12)), 'Cel'))).toBe(true);
    }
  });
  test('a difference that can be written down is seen', () => {
    expect(atMost(20.000001, 20)).toBe(false);
    expect(atLeast(239.999, 240)).toBe(false);
    expect(same(0.1, 0.1000001)).toBe(false);
    expect(same(Infinity, 1)).toBe(false);
    expect(same(-Infinity, Infinity)).toBe(false);
    expect(same(Infinity, Infinity)).toBe(true);
  });
});
