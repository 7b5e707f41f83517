import { describe, expect, test } from '@jest/globals';
import { season } from '../../src/cli/demo/season.js';
import { toldWeeks } from '../../src/cli/demo/weeks/index.js';
import { badWeek } from '../../src/cli/demo/weeks/bad-week.js';
import { fading } from '../../src/cli/demo/weeks/fading.js';
import { longMonths } from '../../src/cli/demo/weeks/two-months.js';
import type { SentEvent } from '../../src/cli/demo/teller.js';
import { decoded } from './stage.js';

const filmsOf = (events: readonly SentEvent[]): number =>
  events
    .filter(({ type }) => type === 'film.processed')
    .reduce((sum, { data }) => sum + (Array.isArray(data['films']) ? data['films'].length : Number(data['count'])), 0);
const within = (events: readonly SentEvent[], from: string, to: string): SentEvent[] =>
  events.filter(({ time }) => time.slice(0, 10) >= from && time.slice(0, 10) <= to);

/** What an office does on the first of a month, told week or not. */
const upkeep: ReadonlySet<string> = new Set([
  'site.closed',
  'darkroom.checked',
  'instrument.checked',
  'filmstock.received',
  'filmstock.opened',
]);

/** The numbers that the stories tell are the numbers that their events add up to. */
describe('the told numbers', () => {
  test('a bad week: 62 exposures, 26 double packets, 88 films, 9 not acceptable, 6 taken again, 3 of 19 from behind', () => {
    const week = within(badWeek().events, '2026-04-13', '2026-04-17');
    const exposed = week.filter(({ type }) => type === 'film.exposed');
    expect(exposed).toHaveLength(62);
    expect(exposed.filter(({ data }) => data['packet'] === 'double')).toHaveLength(26);
    expect(filmsOf(week)).toBe(88);
    expect(week.filter(({ type }) => type === 'stepwedge.read')).toHaveLength(5);
    expect(week.filter(({ type }) => type === 'fixer.cleared')).toHaveLength(2);
    const bad = week.filter(({ data }) => data['grade'] === 'unacceptable');
    expect(bad).toHaveLength(9);
    expect(exposed.filter(({ data }) => data['retakeOf'] !== undefined)).toHaveLength(6);
    const newcomer = new Set(exposed.filter(({ data }) => data['by'] === 'op-9').map(({ data }) => data['film']));
    expect(newcomer.size).toBe(19);
    const reversed = bad.filter(({ data }) => (data['signs'] as string[]).includes('reversed_pattern'));
    expect(reversed.map(({ data }) => newcomer.has(data['film']))).toEqual([true, true, true]);
  });

  test('four weeks: 21 of 254 exposures taken again', () => {
    const exposed = within(badWeek().events, '2026-03-23', '2026-04-17').filter(({ type }) => type === 'film.exposed');
    expect(exposed).toHaveLength(254);
    expect(exposed.filter(({ data }) => data['retakeOf'] !== undefined)).toHaveLength(21);
  });

  test('fading: 38 films a day, about 800 until the Wednesday', () => {
    const { events } = fading();
    expect(filmsOf(within(events, '2026-02-09', '2026-02-09'))).toBe(38);
    expect(filmsOf(within(events, '2026-01-12', '2026-02-10'))).toBe(798);
  });

  test('sixty days: 61 films from Monday to the change', () => {
    const { events } = longMonths();
    expect(filmsOf(events.filter(({ time }) => time >= '2026-08-31' && time < '2026-09-02T12:10'))).toBe(61);
  });
});

describe('the season', () => {
  const { events, end } = season(1);

  test('over 5,000 events of four offices, all of them events of the catalogue, in order of time', () => {
    expect(events.length).toBeGreaterThan(5000);
    expect(new Set(events.map(({ site }) => site)).size).toBe(4);
    const instants = events.map((event) => decoded(event).at);
    expect(instants).toEqual([...instants].sort((a, b) => a - b));
    expect(Math.max(...instants)).toBeLessThanOrEqual(end);
    expect(new Set(events.map(({ source, id }) => `${source} ${id}`)).size).toBe(events.length);
  });

  test('the same seed tells the same season, another seed another, and both the same weeks', () => {
    expect(season(1)).toEqual({ events, end });
    const other = season(2).events;
    expect(other).not.toEqual(events);
    const told = new Set(other.map((event) => JSON.stringify(event)));
    for (const week of toldWeeks()) {
      expect(week.events.filter((event) => !told.has(JSON.stringify(event)))).toEqual([]);
    }
  });

  test('on the days that a week tells, nothing else is developed, read or changed on its lines', () => {
    for (const week of toldWeeks()) {
      const own = new Set(week.events.map(({ source, id }) => `${source} ${id}`));
      for (const days of week.owns) {
        const strangers = events.filter(
          (event) =>
            event.site === week.office.id &&
            !own.has(`${event.source} ${event.id}`) &&
            event.time.slice(0, 10) >= days.from &&
            event.time.slice(0, 10) <= days.to &&
            (days.line === undefined || event.data['line'] === days.line) &&
            !upkeep.has(event.type),
        );
        expect(strangers.map(({ id, type }) => `${id} ${type}`)).toEqual([]);
      }
    }
  });
});
