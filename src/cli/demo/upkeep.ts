import { DateTime } from 'luxon';
import { clock } from './ordinary-day.js';
import type { Dice } from './random.js';
import { celsius, fahrenheit, minutes, seconds, type Teller } from './teller.js';

const tested = ['lightTight', 'safelight'] as const;

/** The first day: the office is set up, its tanks filled, its instruments and its darkroom tried. */
export function setUp(t: Teller, date: string): void {
  t.configured(`${date}T06:00`);
  instruments(t, date);
  for (const line of t.office.config.lines) {
    t.changed(`${date}T08:30`, line.id, ['developer', 'fixer'], {
      kind: line.chemistry ?? 'standard',
      by: 'op-1',
      tankCleaned: true,
    });
    if (line.method === 'chairside') continue;
    t.measured(`${date}T09:00`, line.id, { developer: fahrenheit(line.method === 'automatic' ? 82 : 68) }, 'op-1');
    t.tell(`${date}T09:10`, 'stepwedge.read', {
      line: line.id,
      difference: { steps: 0 },
      reference: 'ref-2026-01',
      by: 'op-1',
    });
    t.tell(`${date}T09:20`, 'fixer.cleared', { line: line.id, time: minutes('2:00') });
    darkroom(t, date, line.id);
  }
  filmStock(t, date);
}

/** The thermometer against a reference thermometer, the timer against a stopwatch. */
export function instruments(t: Teller, date: string): void {
  t.tell(`${date}T07:00`, 'instrument.checked', {
    instrument: 'thermometer',
    kind: 'thermometer',
    reading: fahrenheit(68),
    reference: fahrenheit(68),
  });
  t.tell(`${date}T07:05`, 'instrument.checked', {
    instrument: 'timer',
    kind: 'timer',
    reading: seconds(300),
    reference: seconds(300),
  });
}

/** No light from outside, and none too much from the safelight: no outline of the coin. */
export function darkroom(t: Teller, date: string, line: string): void {
  for (const test of tested) {
    const lights = test === 'safelight' ? 'safelight' : 'off';
    t.tell(`${date}T07:10`, 'darkroom.checked', { line, test, lights, time: minutes('3:00'), outlineSeen: false });
  }
}

/** A box of film, good for two years, kept cool and dry. */
export function filmStock(t: Teller, date: string): void {
  const lot = `lot-${date.slice(2, 7)}`;
  const expires = DateTime.fromISO(date).plus({ years: 2 }).toFormat('yyyy-MM');
  t.tell(`${date}T07:15`, 'filmstock.received', {
    lot,
    speed: 'F',
    filmSize: '2',
    count: 150,
    expires,
    temperature: celsius(18),
  });
  t.tell(`${date}T07:16`, 'filmstock.opened', { lot });
}

/** One or two working films in the chairside box, with fresh quick chemistry, fixed and washed for keeps by noon. */
export function chairside(t: Teller, date: string, line: string, tube: string, dice: Dice): void {
  const at = (minutesAfterMidnight: number): string => `${date}T${clock(minutesAfterMidnight)}`;
  const films = Array.from({ length: dice.whole(1, 3) }, (_, n) => `${t.office.id}-${date}-c${n + 1}`);
  t.changed(at(520), line, ['developer', 'fixer'], { kind: 'rapid', by: 'op-4' });
  films.forEach((film, n) => {
    const start = 545 + 20 * n;
    t.exposed(at(start), film, tube, { view: 'periapical', purpose: 'working', series: `${t.office.id}-${date}-c` });
    t.run(at(start + 2), line, {
      films: [film],
      method: 'chairside',
      purpose: 'working',
      temperature: fahrenheit(75),
      time: seconds(15),
      fixer: seconds(40),
    });
  });
  t.tell(at(690), 'film.refixed', {
    line,
    films,
    fixer: { time: minutes('10:00') },
    wash: { time: minutes('20:00') },
    by: 'op-4',
  });
}

/** A few films through the roller processor, warmed up and read first. */
export function rollerDay(t: Teller, date: string, line: string, dice: Dice, change: boolean): void {
  const at = (minutesAfterMidnight: number): string => `${date}T${clock(minutesAfterMidnight)}`;
  if (change) t.changed(at(430), line, ['developer', 'fixer'], { by: 'op-1', tankCleaned: true });
  t.tell(at(445), 'equipment.cleaned', { line, part: 'rollers' });
  t.measured(at(460), line, { developer: fahrenheit(82) });
  t.strip(at(466), line);
  for (const start of [540, 600]) {
    t.tell(at(start), 'film.processed', {
      line,
      method: 'automatic',
      count: dice.whole(2, 6),
      purpose: 'patient',
      by: 'op-1',
    });
  }
  t.replenished(at(1000), line);
}
