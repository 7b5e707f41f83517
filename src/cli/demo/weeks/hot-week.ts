import { ostermoor } from '../offices.js';
import { celsius, fahrenheit, minutes, Teller } from '../teller.js';
import type { ToldWeek } from './week.js';

/**
 * The hot week that is fine: the air conditioning fails, the thermometer is read, the time follows it. One run is left
 * in for five minutes at 76 F, one is pulled half a minute early at 71 F.
 */
export function hotWeek(): ToldWeek {
  const t = new Teller(ostermoor, 'hot');
  const both = ['developer', 'fixer'];

  t.changed('2026-06-22T07:20', 'M1', both, { dilution: '1+4', by: 'op-4' });

  const day = (
    date: string,
    degrees: number,
    clock: string,
    runs: readonly string[],
    counts: readonly number[],
  ): void => {
    runs.forEach((at, index) => {
      t.run(`${date}T${at}`, 'M1', {
        count: counts[index] ?? 4,
        temperature: fahrenheit(degrees),
        time: minutes(clock),
        by: 'op-4',
      });
    });
  };

  // Monday
  t.measured('2026-07-13T07:50', 'M1', { developer: fahrenheit(72), fixer: fahrenheit(71), wash: fahrenheit(70) });
  t.strip('2026-07-13T07:58', 'M1');
  day('2026-07-13', 72, '4:00', ['08:30', '09:20', '10:10', '11:00', '13:40', '15:20'], [4, 4, 4, 4, 4, 4]);

  // Tuesday
  t.measured('2026-07-14T07:52', 'M1', { developer: fahrenheit(74), fixer: fahrenheit(74), wash: fahrenheit(73) });
  t.strip('2026-07-14T07:59', 'M1');
  day('2026-07-14', 74, '3:30', ['08:25', '09:15', '10:20', '11:10', '14:00', '15:30'], [4, 4, 4, 4, 4, 2]);

  // Wednesday: the covering assistant gives five minutes, as always
  t.measured('2026-07-15T08:01', 'M1', { developer: fahrenheit(76), fixer: fahrenheit(75), wash: fahrenheit(74) });
  t.strip('2026-07-15T08:08', 'M1');
  day('2026-07-15', 76, '3:00', ['08:40', '09:30', '10:25', '11:20', '14:10'], [4, 4, 4, 4, 4]);
  const dark = ['hot-d1', 'hot-d2', 'hot-d3', 'hot-d4'];
  dark.slice(0, 2).forEach((film, index) => t.exposed(`2026-07-15T14:4${index}`, film, 'R1', { view: 'periapical' }));
  dark.slice(2).forEach((film, index) => t.exposed(`2026-07-15T14:5${index}`, film, 'R2', { view: 'periapical' }));
  t.run('2026-07-15T15:10', 'M1', { films: dark, temperature: fahrenheit(76), time: minutes('5:00'), by: 'op-8' });
  for (const film of dark) {
    t.reviewed(
      '2026-07-15T15:40',
      { film },
      { grade: 'unacceptable', signs: ['dark_image'], extent: 'run', retake: 'none', salvaged: true },
    );
  }

  // Thursday
  t.measured('2026-07-16T07:55', 'M1', { developer: fahrenheit(71), fixer: fahrenheit(71) });
  t.strip('2026-07-16T08:02', 'M1');
  day('2026-07-16', 71, '4:00', ['08:30', '09:25', '10:15', '13:50', '15:10'], [4, 4, 4, 4, 4]);
  t.run('2026-07-16T11:20', 'M1', { count: 3, temperature: fahrenheit(71), time: minutes('3:30'), by: 'op-8' });

  // Friday: exactly the chart, in either unit
  t.measured('2026-07-17T08:00', 'M1', { developer: fahrenheit(68.5) });
  t.strip('2026-07-17T08:07', 'M1');
  day('2026-07-17', 68.5, '5:00', ['08:35', '09:30', '10:20', '11:15'], [4, 4, 4, 4]);
  t.measured('2026-07-17T13:00', 'M1', { developer: celsius(20.3) });
  for (const at of ['13:30', '14:40']) {
    t.run(`2026-07-17T${at}`, 'M1', { count: 4, temperature: celsius(20.3), time: minutes('5:00'), by: 'op-4' });
  }

  for (const date of ['2026-07-13', '2026-07-14', '2026-07-15', '2026-07-16', '2026-07-17']) {
    t.replenished(`${date}T16:45`, 'M1', 'op-4');
  }

  return {
    id: 'hot-week',
    title: 'The hot week that is fine',
    office: ostermoor,
    events: t.events,
    owns: [{ from: '2026-07-13', to: '2026-07-17' }],
    changes: [{ line: 'M1', date: '2026-06-22' }],
  };
}
