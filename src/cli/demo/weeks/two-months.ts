import { brackenfold, pellquay, tarnsett } from '../offices.js';
import { fahrenheit, minutes, Teller } from '../teller.js';
import type { ToldWeek } from './week.js';

const both = ['developer', 'fixer'];

/** Two calendar months end before sixty days: due on the Sunday the clocks change, changed on Monday before the first film. */
export function shortMonths(): ToldWeek {
  const t = new Teller(brackenfold, 'months');
  t.changed('2026-01-08T12:30', 'M1', both, { by: 'op-3', dilution: '1+4' });
  t.strip('2026-01-08T13:00', 'M1');
  t.changed('2026-03-09T07:40', 'M1', both, { by: 'op-3', dilution: '1+4' });
  t.measured('2026-03-09T08:05', 'M1', { developer: fahrenheit(68), fixer: fahrenheit(68), wash: fahrenheit(66) });
  t.strip('2026-03-09T08:15', 'M1');
  for (const [at, count] of [
    ['08:30', 4],
    ['10:05', 4],
    ['13:30', 4],
  ] as const) {
    t.run(`2026-03-09T${at}`, 'M1', { count, temperature: fahrenheit(68), time: minutes('5:00'), by: 'op-2' });
  }
  t.replenished('2026-03-09T16:40', 'M1', 'op-2');
  return {
    id: 'short-months',
    title: 'Two months are not sixty days',
    office: brackenfold,
    events: t.events,
    owns: [{ from: '2026-03-09', to: '2026-03-09' }],
    changes: [
      { line: 'M1', date: '2026-01-08' },
      { line: 'M1', date: '2026-03-09' },
    ],
  };
}

/** Sixty days end before two months: one finding that begins as practice's and rises to the law's. */
export function longMonths(): ToldWeek {
  const t = new Teller(tarnsett, 'rise');
  // Nobody is named: Washington's log asks for date and person.
  t.changed('2026-07-01T07:30', 'M1', both, { dilution: '1+4' });

  const day = (date: string, runs: readonly (readonly [string, number])[]): void => {
    t.measured(`${date}T07:45`, 'M1', { developer: fahrenheit(70), fixer: fahrenheit(70), wash: fahrenheit(68) });
    t.strip(`${date}T07:55`, 'M1');
    for (const [at, count] of runs) {
      t.run(`${date}T${at}`, 'M1', { count, temperature: fahrenheit(70), time: minutes('4:30'), by: 'op-6' });
    }
  };
  // 61 films in all before the change.
  day('2026-08-31', [
    ['08:20', 4],
    ['09:10', 4],
    ['10:15', 4],
    ['11:05', 4],
    ['13:40', 4],
    ['15:00', 3],
  ]);
  t.replenished('2026-08-31T16:40', 'M1', 'op-6');
  day('2026-09-01', [
    ['08:15', 4],
    ['09:20', 4],
    ['10:30', 4],
    ['11:20', 4],
    ['14:10', 4],
    ['15:30', 3],
  ]);
  t.replenished('2026-09-01T16:40', 'M1', 'op-6');
  day('2026-09-02', [
    ['08:30', 4],
    ['09:40', 4],
    ['10:50', 4],
    ['11:40', 3],
  ]);
  t.changed('2026-09-02T12:10', 'M1', both, { by: 'op-6', dilution: '1+4' });
  t.measured('2026-09-02T12:50', 'M1', { developer: fahrenheit(70), fixer: fahrenheit(70) });
  t.strip('2026-09-02T13:00', 'M1');
  t.run('2026-09-02T13:30', 'M1', { count: 4, temperature: fahrenheit(70), time: minutes('4:30'), by: 'op-6' });
  return {
    id: 'long-months',
    title: 'Sixty days are not two months',
    office: tarnsett,
    events: t.events,
    owns: [
      { from: '2026-07-01', to: '2026-07-01' },
      { from: '2026-08-31', to: '2026-09-02' },
    ],
    changes: [
      { line: 'M1', date: '2026-07-01' },
      { line: 'M1', date: '2026-09-02' },
    ],
  };
}

/** The log put right afterwards: the change without a person is taken back and told again with one. */
export function personAdded(week: ToldWeek, local = '2026-07-03T09:00'): ToldWeek['events'] {
  const t = new Teller(week.office, 'person');
  const nameless = week.events.filter((event) => event.type === 'chemistry.changed' && event.data['by'] === undefined);
  for (const event of nameless) {
    t.tell(local, 'event.retracted', { source: event.source, id: event.id, reason: 'the person was left out' });
  }
  return [
    ...t.events,
    ...nameless.map((event) => ({ ...event, id: `${event.id}-put-right`, data: { ...event.data, by: 'op-7' } })),
  ];
}

/** A closure spans the sixtieth day: nothing while nobody works, one word at the reopening, no law in it. */
export function holiday(): ToldWeek {
  const t = new Teller(pellquay, 'holiday');
  t.changed('2026-07-01T07:30', 'M1', both, { by: 'op-1', dilution: '1+4' });
  t.tell('2026-08-21T17:00', 'site.closed', {
    line: 'M1',
    from: '2026-08-24',
    to: '2026-09-08T07:30:00-06:00',
    reason: 'holiday',
  });
  t.changed('2026-09-08T07:50', 'M1', both, { by: 'op-1', dilution: '1+4' });
  t.measured('2026-09-08T07:54', 'M1', { developer: fahrenheit(69), fixer: fahrenheit(69), wash: fahrenheit(67) });
  t.strip('2026-09-08T07:58', 'M1');
  for (const [at, count] of [
    ['08:30', 4],
    ['09:45', 4],
    ['11:00', 4],
    ['14:20', 4],
  ] as const) {
    t.run(`2026-09-08T${at}`, 'M1', { count, temperature: fahrenheit(69), time: minutes('4:30'), by: 'op-1' });
  }
  t.replenished('2026-09-08T16:40', 'M1');
  return {
    id: 'holiday',
    title: 'Back from the holiday',
    office: pellquay,
    events: t.events,
    owns: [
      { from: '2026-07-01', to: '2026-07-01', line: 'M1' },
      { from: '2026-08-24', to: '2026-09-07', closed: true },
      { from: '2026-09-08', to: '2026-09-08' },
    ],
    changes: [
      { line: 'M1', date: '2026-07-01' },
      { line: 'M1', date: '2026-09-08' },
    ],
  };
}
