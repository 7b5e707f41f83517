import { describe, expect, test } from '@jest/globals';
import { DateTime } from 'luxon';
import { decode } from '../../src/events/decode.js';
import type { AnyEvent } from '../../src/events/event.js';
import { PackBook } from '../../src/packs/book.js';
import { loadPacks } from '../../src/packs/load.js';
import { foldSite } from '../../src/trials/fold-site.js';

/**
 * Attention is a budget: a year in which an office does everything as it should gives no card. Told day by day, with a
 * warm summer whose times follow the thermometer, holidays, a bath changed every fourth Monday.
 */

const { packs } = await loadPacks('rules');
const book = new PackBook(packs);

const seconds = (value: number) => ({ value, unit: 's' });
const minutes = (value: number) => ({ value, unit: 'min' });
const fahrenheit = (value: number) => ({ value, unit: '[degF]' });

/** Minutes by the wall chart, for the temperatures of this year. */
const wall: Readonly<Record<number, number>> = { 68: 5, 70: 4.5, 72: 4, 74: 3.5, 76: 3 };
const degrees = (month: number) => (month >= 6 && month <= 8 ? 70 + 2 * (month - 5) : month % 2 === 0 ? 68 : 70);

function year(zone: string, state: string): AnyEvent[] {
  const events: AnyEvent[] = [];
  const tell = (at: DateTime, type: string, data: Record<string, unknown>) => {
    const answer = decode(
      { specversion: '1.0', type, source: 'office', id: `e-${events.length}`, time: at.toISO(), site: 'office', data },
      { now: Date.parse('2031-01-01T00:00:00Z'), hashPatient: (token) => token },
    );
    if (!answer.ok) throw new Error(`${type}: ${JSON.stringify(answer.faults)}`);
    events.push(answer.event as AnyEvent);
  };
  const lines = [
    { id: 'M1', method: 'manual', chemistry: 'standard' },
    { id: 'A1', method: 'automatic', chemistry: 'standard' },
    { id: 'C1', method: 'chairside', chemistry: 'rapid' },
  ];
  const first = DateTime.fromISO('2026-01-05', { zone });
  const config = { name: 'Office', zone, jurisdictions: ['us', state], lines, tubes: [{ id: 'R1' }] };
  tell(first.set({ hour: 6 }), 'site.configured', config);
  tell(first.set({ hour: 6, minute: 1 }), 'site.closed', { from: '2026-07-27', to: '2026-08-07', reason: 'holiday' });
  const start = { on: first.set({ hour: 6, minute: 5 }) };
  for (const obligation of [`${state}-on-hand`, 'mn-garment-check'])
    tell(start.on, 'obligation.done', { obligation, by: 'op-1' });

  for (let n = 0; n < 365; n++) {
    const day = first.plus({ days: n });
    const date = day.toISODate() ?? '';
    if (day.weekday > 5 || (date >= '2026-07-27' && date <= '2026-08-07')) continue;
    const at = (clock: string) => DateTime.fromISO(`${date}T${clock}`, { zone });
    const bath = degrees(day.month);
    // What fell in the holiday is made good on the first morning.
    const returned = date === '2026-08-10';
    if (n % 28 === 0 || returned)
      for (const line of ['M1', 'A1'])
        for (const name of ['developer', 'fixer'])
          tell(at('07:10'), 'chemistry.changed', { line, bath: name, kind: 'standard', by: 'op-2' });
    if ((day.weekday === 1 && day.day <= 7) || returned) {
      for (const name of ['safelight', 'lightTight'])
        tell(at('07:20'), 'darkroom.checked', {
          line: 'M1',
          test: name,
          lights: name === 'safelight' ? 'safelight' : 'off',
          time: minutes(3.5),
          outlineSeen: false,
        });
      tell(at('07:25'), 'instrument.checked', {
        instrument: 'T1',
        kind: 'thermometer',
        reading: fahrenheit(68.5),
        reference: fahrenheit(68),
      });
      tell(at('07:26'), 'filmstock.received', {
        lot: `L-${date}`,
        expires: '2028-01',
        temperature: fahrenheit(66),
        humidity: { value: 50, unit: '%' },
      });
    }
    for (const line of ['M1', 'A1']) {
      tell(at('07:45'), 'day.opened', {
        line,
        levels: true,
        stirred: true,
        water: true,
        temperature: fahrenheit(line === 'M1' ? bath : 82),
      });
      tell(at('07:55'), 'stepwedge.read', {
        line,
        difference: n % 9 === 0 ? { steps: 1, direction: 'lighter' } : { steps: 0 },
      });
    }
    for (const clock of ['08:30', '10:45', '15:30'])
      tell(at(clock), 'film.processed', {
        line: 'M1',
        method: 'manual',
        count: 4,
        endpoint: 'timed',
        // The afternoon's temperature comes with the run: the morning's reading is stale by then.
        developer: {
          time: minutes(wall[bath] ?? NaN),
          ...(clock === '15:30' ? { temperature: fahrenheit(bath) } : {}),
        },
        rinse: { time: seconds(30) },
        fixer: { time: minutes(12) },
        wash: { time: minutes(20) },
        by: 'op-3',
      });
    tell(at('11:00'), 'film.processed', { line: 'A1', method: 'automatic', count: 6 });
    if (day.weekday === 3) {
      tell(at('09:00'), 'chemistry.changed', { line: 'C1', bath: 'developer', kind: 'rapid' });
      tell(at('09:10'), 'film.processed', {
        line: 'C1',
        method: 'chairside',
        count: 3,
        purpose: 'working',
        developer: { temperature: fahrenheit(75), time: seconds(15) },
        fixer: { time: seconds(40) },
      });
      tell(at('12:00'), 'film.refixed', {
        line: 'C1',
        count: 3,
        fixer: { time: minutes(10) },
        wash: { time: minutes(20) },
      });
    }
    for (const line of ['M1', 'A1'])
      tell(at('16:40'), 'chemistry.replenished', { line, bath: 'developer', with: 'replenisher', by: 'op-3' });
  }
  return events;
}

describe.each([
  ['us-wa', 'America/Los_Angeles'],
  ['us-nm', 'America/Denver'],
  ['us-mn', 'America/Chicago'],
] as const)('a year of ordinary days in %s', (state, zone) => {
  const events = year(zone, state);
  const { findings } = foldSite(events, book, Date.parse('2027-01-04T12:00:00Z'));
  const said = [...findings.values()].map(
    ({ severity, rule, message, openedAt }) => `${severity} ${new Date(openedAt).toISOString()} ${rule}: ${message}`,
  );

  test('it is a full year', () => {
    const days = new Set(events.map(({ at }) => DateTime.fromMillis(at, { zone }).toISODate()));
    expect(days.size).toBe(251);
  });

  test("nothing but one line of advice: the maker's sheet is not on file", () => {
    expect(said).toEqual([expect.stringMatching(/^advice .* common\/makers-sheet\/sheet-missing: .* M1\.$/)]);
  });
});
