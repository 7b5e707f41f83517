import { DateTime } from 'luxon';
import { Dice } from '../../src/cli/demo/random.js';
import { decode } from '../../src/events/decode.js';
import type { AnyEvent } from '../../src/events/event.js';

/**
 * A year of an office that does everything as it should, told day by day: a warm summer whose times follow the
 * thermometer, holidays, baths changed every fourth Monday, tests when they are due. The dice move what may move within
 * the limits: how many films, by how many minutes, how exactly a thermometer reads.
 */

const seconds = (value: number) => ({ value, unit: 's' });
const minutes = (value: number) => ({ value, unit: 'min' });
const fahrenheit = (value: number) => ({ value, unit: '[degF]' });
const percent = (value: number) => ({ value, unit: '%' });

/** Minutes by the wall chart, for the temperatures of this year. */
const wall: Readonly<Record<number, number>> = { 68: 5, 70: 4.5, 72: 4, 74: 3.5, 76: 3 };
const degrees = (month: number) => (month >= 6 && month <= 8 ? 70 + 2 * (month - 5) : month % 2 === 0 ? 68 : 70);

const closed = { from: '2026-07-27', to: '2026-08-07' };
const firstDay = '2026-01-05';
const days = 365;

/** What hangs beside its units. */
export const ordinaryChart = `
pack: office/technique
version: 1.0.0
title: Technique chart
authority: The office
layer: clinic
citation: { text: "common practice, no source", read: practice }
techniques:
  - id: office/wall
    title: Technique chart
    filmSpeed: F
    tubeVoltage: 70 kV
    tubeCurrent: 7 mA
    rows: [{ view: BW_R, patientSize: adult, time: 0.2 s }]
`;

type Tell = (clock: string, type: string, data: Record<string, unknown>) => void;

/** Every event of the year, in the order of the days. `state` is the second of its jurisdictions. */
export function ordinaryYear(zone: string, state: string, seed: number): AnyEvent[] {
  const events: AnyEvent[] = [];
  const on =
    (date: string): Tell =>
    (clock, type, data) => {
      const time = DateTime.fromISO(`${date}T${clock}`, { zone }).toISO();
      const answer = decode(
        { specversion: '1.0', type, source: 'office', id: `e-${events.length}`, time, site: 'office', data },
        { now: Date.parse('2031-01-01T00:00:00Z'), hashPatient: (token) => token },
      );
      if (!answer.ok) throw new Error(`${type}: ${JSON.stringify(answer.faults)}`);
      events.push(answer.event as AnyEvent);
    };
  setUp(on(firstDay), zone, state);
  let fixerDays = 0;
  for (let n = 0; n < days; n++) {
    const day = DateTime.fromISO(firstDay, { zone }).plus({ days: n });
    const date = day.toISODate() ?? '';
    if (day.weekday > 5 || (date >= closed.from && date <= closed.to)) continue;
    const dice = new Dice(`${seed}/${state}/${date}`);
    const tell = on(date);
    // What fell in the holiday is made good on the first morning.
    const returned = date === '2026-08-10';
    const changed = n % 28 === 0 || returned;
    if (changed) changeBaths(tell);
    fixerDays = changed ? 0 : fixerDays + 1;
    if ((day.weekday === 1 && day.day <= 7) || returned) monthly(tell, date, dice);
    if (day.weekday === 1 || returned) weekly(tell, fixerDays);
    working(tell, degrees(day.month), dice);
    if (day.weekday === 3) chairside(tell, dice);
  }
  return events;
}

function setUp(tell: Tell, zone: string, state: string): void {
  const lines = [
    { id: 'M1', method: 'manual', chemistry: 'standard' },
    { id: 'A1', method: 'automatic', chemistry: 'standard' },
    { id: 'C1', method: 'chairside', chemistry: 'rapid' },
  ];
  tell('06:00', 'site.configured', {
    name: 'Office',
    zone,
    jurisdictions: ['us', state],
    lines,
    tubes: [{ id: 'R1' }, { id: 'R2' }],
  });
  tell('06:01', 'site.closed', { ...closed, reason: 'holiday' });
  for (const obligation of [`${state}-on-hand`, 'mn-garment-check'])
    tell('06:05', 'obligation.done', { obligation, by: 'op-1' });
}

function changeBaths(tell: Tell): void {
  for (const line of ['M1', 'A1'])
    for (const bath of ['developer', 'fixer'])
      tell('07:10', 'chemistry.changed', { line, bath, kind: 'standard', by: 'op-2' });
}

/** Darkroom, instruments, a new box of film. */
function monthly(tell: Tell, date: string, dice: Dice): void {
  for (const [test, lights] of [
    ['safelight', 'safelight'],
    ['lightTight', 'off'],
  ] as const) {
    tell('07:20', 'darkroom.checked', { line: 'M1', test, lights, time: minutes(3.5), outlineSeen: false });
    const densityIncrease = dice.whole(0, 4) / 100;
    tell('12:20', 'darkroom.checked', { line: 'M1', test, lights, time: minutes(2), densityIncrease });
  }
  const compare = (instrument: string, kind: string, reading: unknown, reference: unknown) =>
    tell('07:25', 'instrument.checked', { instrument, kind, reading, reference });
  compare('T1', 'thermometer', fahrenheit(68 + dice.whole(-5, 5) / 10), fahrenheit(68));
  compare('K1', 'timer', seconds(300 + dice.whole(-10, 10)), seconds(300));
  compare('D1', 'densitometer', 1.5 + dice.whole(-2, 2) / 100, 1.5);
  tell('07:26', 'filmstock.received', {
    lot: `L-${date}`,
    expires: '2028-01',
    temperature: fahrenheit(dice.whole(60, 70)),
    humidity: percent(dice.whole(42, 58)),
  });
  tell('08:00', 'film.exposed', { tube: 'R1', lot: `L-${date}`, time: seconds(0.2) });
}

/** A film of each kind through the baths, the fixer's clearing time, all baths read. */
function weekly(tell: Tell, fixerDays: number): void {
  for (const kind of ['unexposed', 'exposed']) tell('07:30', 'testfilm.read', { line: 'M1', kind, asExpected: true });
  tell('07:35', 'fixer.cleared', { line: 'M1', time: seconds(90 + 2 * fixerDays) });
  for (const bath of ['developer', 'fixer', 'wash'])
    tell('07:40', 'bath.measured', { line: 'M1', bath, temperature: fahrenheit(70), level: 'full', instrument: 'T1' });
}

function working(tell: Tell, bath: number, dice: Dice): void {
  for (const line of ['M1', 'A1']) {
    const temperature = fahrenheit(line === 'M1' ? bath + dice.whole(0, 9) / 10 : 82);
    tell('07:45', 'day.opened', { line, levels: true, stirred: true, water: true, temperature });
    const steps = dice.pick([0, 0, 0, 1, 1, 2]);
    const direction = steps === 0 ? {} : { direction: dice.pick(['lighter', 'darker']) };
    tell('07:55', 'stepwedge.read', { line, difference: { steps, ...direction } });
    // The manual line's strips are read by densitometer too: the first is the reference film.
    if (line === 'M1') tell('07:56', 'stepwedge.read', { line, reference: 'ref-1', ...densities(dice) });
  }
  exposing(tell, dice);
  for (const clock of ['08:30', '10:45', '15:30'])
    tell(clock, 'film.processed', {
      line: 'M1',
      method: 'manual',
      count: dice.whole(1, 6),
      endpoint: 'timed',
      // The afternoon's temperature comes with the run: the morning's reading is stale by then.
      developer: {
        time: minutes((wall[bath] ?? NaN) + dice.whole(0, 1) / 4),
        ...(clock === '15:30' ? { temperature: fahrenheit(bath) } : {}),
      },
      rinse: { time: seconds(dice.whole(30, 60)) },
      fixer: { time: minutes(dice.whole(10, 15)) },
      wash: { time: minutes(dice.whole(20, 30)) },
      by: 'op-3',
    });
  tell('11:00', 'film.processed', { line: 'A1', method: 'automatic', count: dice.whole(2, 8) });
  for (const line of ['M1', 'A1'])
    tell('16:40', 'chemistry.replenished', { line, bath: 'developer', with: 'replenisher', by: 'op-3' });
}

/** Two readings of the same strip differ by a hundredth or two. */
function densities(dice: Dice): Record<string, unknown> {
  const read = (density: number) => Math.round(100 * density + dice.whole(-1, 1) + dice.whole(-1, 1)) / 100;
  return { densities: [0.2, 0.42, 0.9, 1.45, 2].map(read), difference: { steps: 0 } };
}

/** Two people at two units; every film is looked at, one of thirty is made again. */
function exposing(tell: Tell, dice: Dice): void {
  const patients = dice.whole(8, 14);
  for (let n = 0; n < patients; n++) {
    const minute = String(10 + 2 * n).padStart(2, '0');
    const film = `F-${filmNumber++}`;
    const exposed = {
      ...{ tube: dice.pick(['R1', 'R2']), by: dice.pick(['op-1', 'op-2']), view: 'BW_R', patientSize: 'adult' },
      ...{ filmSpeed: 'F', tubeVoltage: { value: 70, unit: 'kV' }, tubeCurrent: { value: 7, unit: 'mA' } },
      // The chart says 0.20 s; the timer goes in hundredths.
      time: seconds(dice.pick([0.19, 0.2, 0.2, 0.2, 0.21])),
    };
    tell(`09:${minute}`, 'film.exposed', { film, ...exposed });
    const isBad = dice.whole(1, 30) === 1;
    if (isBad) tell('09:50', 'film.exposed', { ...exposed, retakeOf: film });
    tell('11:20', 'film.reviewed', { film, grade: isBad ? 'unacceptable' : 'acceptable', signs: [] });
  }
}
let filmNumber = 0;

/** Films read wet at the chair, fixed and washed in full the same noon. */
function chairside(tell: Tell, dice: Dice): void {
  const count = dice.whole(1, 4);
  tell('09:00', 'chemistry.changed', { line: 'C1', bath: 'developer', kind: 'rapid' });
  tell('09:10', 'film.processed', {
    line: 'C1',
    method: 'chairside',
    count,
    purpose: 'working',
    developer: { temperature: fahrenheit(75), time: seconds(15) },
    fixer: { time: seconds(40) },
  });
  tell('12:00', 'film.refixed', {
    line: 'C1',
    count,
    fixer: { time: minutes(dice.whole(10, 15)) },
    wash: { time: minutes(dice.whole(20, 30)) },
  });
}
