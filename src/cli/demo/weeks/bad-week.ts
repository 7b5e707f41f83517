import { DateTime } from 'luxon';
import { tarnsett } from '../offices.js';
import { fahrenheit, minutes, Teller } from '../teller.js';
import type { ToldWeek } from './week.js';

/** A film that was not acceptable, by its place among the day's exposures, and what the dentist decided. */
interface Fault {
  readonly nth: number;
  readonly sign: string;
  readonly again: boolean;
  readonly note?: string;
}

interface Day {
  readonly date: string;
  /** Exposures of the day, those taken again included; the repeats come last. */
  readonly exposures: number;
  /** Which of them the newcomer took. */
  readonly newcomer?: readonly number[];
  readonly faults: readonly Fault[];
}

/** The told week: 62 exposures, nine not acceptable, six taken again. */
const told: readonly Day[] = [
  {
    date: '2026-04-13',
    exposures: 12,
    newcomer: [0, 4, 8],
    faults: [{ nth: 3, sign: 'cone_cut', again: false, note: 'the area shows on the neighbour film' }],
  },
  {
    date: '2026-04-14',
    exposures: 13,
    newcomer: [0, 4, 8, 12],
    faults: [
      { nth: 0, sign: 'reversed_pattern', again: true },
      { nth: 5, sign: 'blurred_image', again: true },
    ],
  },
  {
    date: '2026-04-15',
    exposures: 13,
    newcomer: [0, 4, 8, 12],
    faults: [
      { nth: 1, sign: 'dark_image', again: true },
      { nth: 6, sign: 'cone_cut', again: true },
    ],
  },
  {
    date: '2026-04-16',
    exposures: 12,
    newcomer: [0, 4, 8, 10],
    faults: [{ nth: 4, sign: 'reversed_pattern', again: false, note: 'light but readable: kept' }],
  },
  {
    date: '2026-04-17',
    exposures: 12,
    newcomer: [0, 4, 6, 8],
    faults: [
      { nth: 0, sign: 'reversed_pattern', again: true },
      { nth: 3, sign: 'apices_missing', again: true },
      { nth: 7, sign: 'dark_image', again: false, note: 'readable on a bright light' },
    ],
  },
];

/** The three weeks before it: 192 exposures, 15 taken again, none from behind. */
const before: readonly Day[] = ['2026-03-23', '2026-03-30', '2026-04-06'].flatMap((monday) =>
  [0, 1, 2, 3, 4].map((offset) => ({
    date: DateTime.fromISO(monday).plus({ days: offset }).toFormat('yyyy-MM-dd'),
    exposures: offset === 4 ? 12 : 13,
    faults: [
      {
        nth: offset + 1,
        sign: ['overlapped_contacts', 'elongated', 'cone_cut', 'blurred_image', 'apices_missing'][offset] ?? 'cone_cut',
        again: true,
      },
    ],
  })),
);

/**
 * A bad week that proves nothing, and three films that do. With it come the three weeks before, because four weeks
 * are what its rate is compared over.
 */
export function badWeek(): ToldWeek {
  const t = new Teller(tarnsett, 'bad');
  t.changed('2026-03-02T07:20', 'M1', ['developer', 'fixer'], { by: 'op-6', dilution: '1+4' });
  let exposure = 0;
  for (const day of before) {
    if (day.date === '2026-03-30')
      t.changed(`${day.date}T07:20`, 'M1', ['developer', 'fixer'], { by: 'op-6', dilution: '1+4' });
    clinicDay(t, day, { reviewAll: false, double: () => false });
  }
  for (const day of told) {
    const first = exposure;
    exposure += day.exposures;
    clinicDay(t, day, {
      reviewAll: true,
      // 26 of the 62 packets hold two films.
      double: (n) => ((first + n) * 26) % 62 < 26,
    });
    if (day.date === '2026-04-13' || day.date === '2026-04-16') {
      t.tell(`${day.date}T07:58`, 'fixer.cleared', { line: 'M1', time: minutes('2:30') });
    }
  }
  return {
    id: 'bad-week',
    title: 'A bad week that proves nothing, and three films that do',
    office: tarnsett,
    events: t.events,
    owns: [{ from: '2026-03-23', to: '2026-04-17' }],
    changes: [
      { line: 'M1', date: '2026-03-02' },
      { line: 'M1', date: '2026-03-30' },
    ],
  };
}

interface Habits {
  readonly reviewAll: boolean;
  readonly double: (nth: number) => boolean;
}

/** Pairs of exposures through the day, each pair developed together and looked at afterwards; repeats at the end. */
function clinicDay(t: Teller, day: Day, habits: Habits): void {
  const clock = (minutesAfterEight: number): string =>
    `${day.date}T${DateTime.fromISO('2026-01-01T08:00').plus({ minutes: minutesAfterEight }).toFormat('HH:mm')}`;
  t.measured(clock(-15), 'M1', { developer: fahrenheit(70), fixer: fahrenheit(70), wash: fahrenheit(68) });
  t.strip(clock(-5), 'M1');

  const repeats = day.faults.filter((fault) => fault.again);
  const originals = day.exposures - repeats.length;
  const name = (nth: number): string => `bad-${day.date.slice(5).replace('-', '')}-${nth + 1}`;
  for (let first = 0; first < day.exposures; first += 2) {
    const start = 30 + first * 32;
    const films: string[] = [];
    for (let nth = first; nth < Math.min(first + 2, day.exposures); nth++) {
      const repeated = nth >= originals ? repeats[nth - originals] : undefined;
      const by = day.newcomer?.includes(nth) ? 'op-9' : nth % 2 === 0 ? 'op-6' : 'op-7';
      const double = habits.double(nth);
      t.exposed(clock(start + (nth - first) * 4), name(nth), nth % 4 < 2 ? 'R1' : 'R2', {
        view: nth % 3 === 0 ? 'bitewing' : 'periapical',
        packet: double ? 'double' : 'single',
        by,
        ...(repeated ? { retakeOf: name(repeated.nth) } : {}),
      });
      films.push(name(nth), ...(double ? [`${name(nth)}-second`] : []));
    }
    t.run(clock(start + 12), 'M1', { films, temperature: fahrenheit(70), time: minutes('4:30'), by: 'op-6' });
    for (let nth = first; nth < Math.min(first + 2, day.exposures); nth++) {
      const fault = day.faults.find((one) => one.nth === nth);
      if (fault) {
        t.reviewed(
          clock(start + 30),
          { film: name(nth) },
          {
            grade: 'unacceptable',
            signs: [fault.sign],
            extent: 'film',
            retake: fault.again ? 'ordered' : 'none',
            ...(fault.again ? {} : { salvaged: true }),
            ...(fault.note ? { note: fault.note } : {}),
          },
        );
      } else if (habits.reviewAll) {
        t.reviewed(clock(start + 30), { film: name(nth) }, { grade: 'acceptable' });
      }
    }
  }
  t.replenished(clock(32 * day.exposures + 70), 'M1', 'op-6');
}
