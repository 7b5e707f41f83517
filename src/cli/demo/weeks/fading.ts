import { DateTime } from 'luxon';
import { pellquay } from '../offices.js';
import { fahrenheit, minutes, Teller } from '../teller.js';
import type { ToldWeek } from './week.js';

const both = ['developer', 'fixer'];
const runStarts = ['08:10', '08:50', '09:30', '10:10', '10:50', '11:30', '13:20', '14:00', '14:40', '15:20'];

/**
 * Fading, and then mixed wrong: a busy tank goes a week without replenisher, then is changed in a hurry with too much
 * water. Told from the change of 12 January on, because age and films of the bath count from there.
 */
export function fading(): ToldWeek {
  const t = new Teller(pellquay, 'fade');
  const ready = (date: string, at: string): void =>
    t.measured(`${date}T${at}`, 'M1', { developer: fahrenheit(68), fixer: fahrenheit(68), wash: fahrenheit(66) });
  /** 38 films: nine runs of four and one of two. */
  const films = (date: string): void => {
    runStarts.forEach((at, n) => {
      t.run(`${date}T${at}`, 'M1', {
        count: n < 9 ? 4 : 2,
        temperature: fahrenheit(68),
        time: minutes('5:00'),
        by: 'op-1',
      });
    });
  };

  t.changed('2026-01-12T07:15', 'M1', both, { by: 'op-1', dilution: '1+4' });
  t.tell('2026-01-12T07:45', 'stepwedge.read', {
    line: 'M1',
    difference: { steps: 0 },
    reference: 'ref-2026-01',
    by: 'op-1',
  });

  for (const date of workingDays('2026-01-12', '2026-02-10')) {
    ready(date, '07:40');
    if (date === '2026-02-09') t.strip(`${date}T07:55`, 'M1', 1, 'lighter');
    else if (date === '2026-02-10') t.strip(`${date}T07:55`, 'M1', 2, 'lighter');
    else if (date !== '2026-01-12') t.strip(`${date}T07:55`, 'M1');
    films(date);
    if (date <= '2026-02-04') t.replenished(`${date}T16:40`, 'M1');
  }

  ready('2026-02-11', '07:45');
  t.strip('2026-02-11T07:58', 'M1', 3, 'lighter', 'highlights flat');
  const held = Array.from({ length: 9 }, (_, n) => `fade-h${n + 1}`);
  held.forEach((film, n) => {
    const at = DateTime.fromISO('2026-02-11T08:10')
      .plus({ minutes: 25 * n })
      .toFormat('HH:mm');
    t.exposed(`2026-02-11T${at}`, film, 'R1', { view: 'periapical', by: 'op-3' });
  });
  t.changed('2026-02-11T12:20', 'M1', both, { by: 'op-2', dilution: '1+7' });
  t.measured('2026-02-11T12:48', 'M1', { developer: fahrenheit(68), fixer: fahrenheit(68) });
  t.strip('2026-02-11T12:50', 'M1', 4, 'lighter');
  t.changed('2026-02-11T13:25', 'M1', both, { by: 'op-1', dilution: '1+4' });
  t.measured('2026-02-11T13:40', 'M1', { developer: fahrenheit(68), fixer: fahrenheit(68) });
  t.strip('2026-02-11T13:45', 'M1');
  t.run('2026-02-11T13:50', 'M1', { films: held, temperature: fahrenheit(68), time: minutes('5:00'), by: 'op-1' });
  for (const film of held) t.reviewed('2026-02-11T14:30', { film }, { grade: 'acceptable' });
  t.replenished('2026-02-11T16:40', 'M1');

  for (const date of ['2026-02-12', '2026-02-13']) {
    ready(date, '07:40');
    t.strip(`${date}T07:55`, 'M1');
    films(date);
    t.replenished(`${date}T16:40`, 'M1');
  }

  return {
    id: 'fading',
    title: 'Fading, and then mixed wrong',
    office: pellquay,
    events: t.events,
    owns: [{ from: '2026-01-12', to: '2026-02-13', line: 'M1' }],
    changes: [
      { line: 'M1', date: '2026-01-12' },
      { line: 'M1', date: '2026-02-11' },
    ],
  };
}

/** Monday to Friday from one date to another, but for the holiday of 19 January. */
function workingDays(from: string, to: string): string[] {
  const days: string[] = [];
  for (let day = DateTime.fromISO(from); day <= DateTime.fromISO(to); day = day.plus({ days: 1 })) {
    const date = day.toFormat('yyyy-MM-dd');
    if (day.weekday <= 5 && date !== '2026-01-19') days.push(date);
  }
  return days;
}
