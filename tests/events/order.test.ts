import { expect, test } from '@jest/globals';
import fc from 'fast-check';
import { compareKeys, precedes } from '../../src/events/order.js';
import { catalogue, eventTypes } from '../../src/events/catalogue.js';

const printable = fc.string({
  unit: fc.integer({ min: 0x20, max: 0x7e }).map((code) => String.fromCharCode(code)),
  minLength: 1,
  maxLength: 3,
});
const key = fc.record({
  at: fc.integer({ min: 0, max: 3 }),
  rank: fc.integer({ min: 0, max: 2 }),
  source: printable,
  id: printable,
});

test('L2: the order of events is total: antisymmetric, transitive, and only the same key is equal', () => {
  fc.assert(
    fc.property(key, key, key, (a, b, c) => {
      expect(Math.sign(compareKeys(a, b))).toBe(-Math.sign(compareKeys(b, a)) + 0);
      if (compareKeys(a, b) <= 0 && compareKeys(b, c) <= 0) expect(compareKeys(a, c)).toBeLessThanOrEqual(0);
      const equal = a.at === b.at && a.rank === b.rank && a.source === b.source && a.id === b.id;
      expect(compareKeys(a, b) === 0).toBe(equal);
      expect(precedes(a, b)).toBe(compareKeys(a, b) < 0);
    }),
  );
});

test('L2: sender and id are compared as bytes', () => {
  fc.assert(
    fc.property(printable, printable, (a, b) => {
      const bytes = Buffer.compare(Buffer.from(a), Buffer.from(b));
      expect(Math.sign(compareKeys({ at: 0, rank: 0, source: a, id: '' }, { at: 0, rank: 0, source: b, id: '' }))).toBe(
        bytes,
      );
      expect(Math.sign(compareKeys({ at: 0, rank: 0, source: '', id: a }, { at: 0, rank: 0, source: '', id: b }))).toBe(
        bytes,
      );
    }),
  );
});

test('L2: the ranks are frozen', () => {
  const ranks = Object.fromEntries(eventTypes.map((type) => [type, catalogue[type].rank]));
  expect(ranks).toEqual({
    'site.configured': 0,
    'site.closed': 0,
    'event.retracted': 0,
    'instrument.checked': 1,
    'filmstock.received': 1,
    'filmstock.opened': 1,
    'filmstock.stored': 1,
    'chemistry.changed': 2,
    'chemistry.replenished': 2,
    'bath.measured': 3,
    'fixer.cleared': 3,
    'stepwedge.read': 4,
    'testfilm.read': 4,
    'darkroom.checked': 4,
    'film.exposed': 5,
    'film.processed': 6,
    'film.refixed': 7,
    'film.reviewed': 8,
    'films.mounted': 9,
    'tube.tested': 10,
    'day.opened': 11,
    'day.closed': 11,
    'equipment.cleaned': 11,
    'equipment.status': 11,
    'films.tallied': 11,
    'waste.handedOver': 11,
    'obligation.done': 11,
    'inspection.held': 11,
    'finding.acknowledged': 12,
    'finding.snoozed': 12,
    'finding.resolved': 12,
    'cause.confirmed': 12,
  });
});
