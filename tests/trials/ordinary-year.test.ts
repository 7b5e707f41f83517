import { describe, expect, test } from '@jest/globals';
import { DateTime } from 'luxon';
import { PackBook } from '../../src/packs/book.js';
import { loadPacks } from '../../src/packs/load.js';
import { readPack } from '../../src/packs/reader/index.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { ordinaryChart, ordinaryYear } from './ordinary-office.js';

/**
 * Attention is a budget: a year in which an office does everything as it should gives no card, though nearly every rule
 * was judged in it. What nobody looked at could not have spoken.
 */

const { packs } = await loadPacks('rules');
const { pack: chart } = readPack(ordinaryChart, 'office.yaml');
const book = new PackBook([...packs, ...(chart === undefined ? [] : [chart])]);
const seeds = process.env['STEPWEDGE_LONG'] === '1' ? Array.from({ length: 20 }, (_, n) => n + 1) : [1];
const places = [
  ['us-wa', 'America/Los_Angeles'],
  ['us-nm', 'America/Denver'],
  ['us-mn', 'America/Chicago'],
] as const;

describe.each(seeds.flatMap((seed) => places.map(([state, zone]) => [state, zone, seed] as const)))(
  'a year of ordinary days in %s (%s), seed %d',
  (state, zone, seed) => {
    const events = ordinaryYear(zone, state, seed);
    const judged = new Set<string>();
    const year = foldSite(events, book, Date.parse('2027-01-04T12:00:00Z'), ({ check, result }) => {
      if (result !== undefined) judged.add(check.id);
    });
    // A duty was judged once it was done: from then on it is owed anew.
    for (const { rule, done } of Object.values(year.state.duties)) if (done !== null) judged.add(rule);
    const rules = year.state.site === null ? [] : [...book.at(year.state.at, year.state.site).rules.keys()].sort();
    const never = rules.filter((rule) => !judged.has(rule));

    test('it is a full year', () => {
      const days = new Set(events.map(({ at }) => DateTime.fromMillis(at, { zone }).toISODate()));
      expect(days.size).toBe(251);
    });

    const lines = [...year.findings.values()].map(
      ({ severity, rule, message, openedAt }) => `${severity} ${new Date(openedAt).toISOString()} ${rule}: ${message}`,
    );
    const ofTrends = lines.filter((line) => line.includes(' common/trends/'));

    test("no card: nothing above advice, which is the maker's sheet that is not on file", () => {
      expect(lines.filter((line) => !ofTrends.includes(line))).toEqual([
        expect.stringMatching(/^advice .* common\/makers-sheet\/sheet-missing: .* M1\.$/),
      ]);
      expect(ofTrends.filter((line) => !line.startsWith('advice '))).toEqual([]);
    });

    test('control charts of a steady office cry wolf at most every other month', () => {
      if (seed === 1) console.log(`${state}: advice of trends in the year: ${ofTrends.length}.`);
      expect(ofTrends.length).toBeLessThanOrEqual(6);
    });

    test('at least nine rules of ten were judged in it, the others are known by name', () => {
      if (seed === 1)
        console.log(
          `${state}: ${rules.length - never.length} of ${rules.length} rules judged; never: ${never.join(', ') || 'none'}.`,
        );
      expect(rules.length).toBeGreaterThan(25);
      expect((rules.length - never.length) / rules.length).toBeGreaterThanOrEqual(0.9);
      expect(never).toEqual([]);
    });
  },
);

test('the same year with one duty forgotten is not silent', () => {
  const forgetful = ordinaryYear('America/Los_Angeles', 'us-wa', 1).filter(
    ({ type, at }) => type !== 'chemistry.changed' || at < Date.parse('2026-04-01T00:00:00Z'),
  );
  const { findings } = foldSite(forgetful, book, Date.parse('2027-01-04T12:00:00Z'));
  const rules = new Set([...findings.values()].map(({ rule }) => rule));
  expect([...rules].sort()).toEqual(
    expect.arrayContaining(['common/chemistry-age/chemistry-age', 'common/chemistry-age/processor-chemistry-age']),
  );
});
