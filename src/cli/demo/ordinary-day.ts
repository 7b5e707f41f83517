import { chartMinutes } from './chart.js';
import { daysFrom } from './plan.js';
import type { Dice } from './random.js';
import { fahrenheit, seconds, type Teller } from './teller.js';

/** What an ordinary day at a tank is told with. */
export interface Day {
  readonly date: string;
  readonly line: string;
  readonly tubes: readonly string[];
  readonly dice: Dice;
  /** The chemistry is changed before the round. */
  readonly change: boolean;
  /** The water is shut off and the lids are on for the weekend: told on the last day only. */
  readonly lastOfWeek: boolean;
}

const tenMinutes = { value: 10, unit: 'min' };
const twentyMinutes = { value: 20, unit: 'min' };
/** Faults of technique that any office sees now and then. */
const faults = ['cone_cut', 'elongated', 'overlapped_contacts', 'apices_missing', 'blurred_image'] as const;

/**
 * An ordinary day at a manual tank: the round with temperature and water, the strip, exposures and runs by the wall
 * chart, a look at a film or two, replenisher, lids on.
 */
export function ordinaryDay(t: Teller, day: Day): void {
  const { date, line, dice } = day;
  const at = (minutesAfterMidnight: number): string => `${date}T${clock(minutesAfterMidnight)}`;
  const staff = dice.pick(['op-1', 'op-2', 'op-6', 'op-7']);
  const morning = dice.whole(0, 5) + (warmSeason(date) ? 67 : 66);

  if (day.change) t.changed(at(435), line, ['developer', 'fixer'], { dilution: '1+4', by: staff, tankCleaned: true });
  t.tell(at(455), 'day.opened', {
    line,
    lids: true,
    levels: true,
    stirred: true,
    water: true,
    temperature: fahrenheit(morning),
    by: staff,
  });
  const drift = dice.onceIn(9) ? 1 : 0;
  t.strip(at(470), line, drift, drift === 0 ? undefined : dice.pick(['lighter', 'darker']));

  const runs = dice.whole(2, 3);
  for (let n = 0; n < runs; n++) {
    const start = 510 + Math.floor((n * 440) / runs) + dice.whole(0, 40);
    const degrees = morning + (n >= 2 ? 1 : 0);
    const developed = { temperature: fahrenheit(degrees), time: { value: chartMinutes(degrees), unit: 'min' } };
    const rest = { rinse: seconds(30), fixer: tenMinutes, wash: twentyMinutes, by: staff };
    if (n > 0) {
      t.run(at(start), line, { count: dice.whole(2, 6), ...developed, ...rest });
      continue;
    }
    const films = Array.from(
      { length: dice.whole(1, 3) },
      (_, k) => `${t.office.id}-${date}-${n + 1}${'abc'[k] ?? ''}`,
    );
    films.forEach((film, k) => exposure(t, at(start - 14 + 3 * k), film, day));
    t.run(at(start), line, { films, ...developed, ...rest });
    const film = films[0] ?? '';
    if (dice.onceIn(40)) {
      t.reviewed(
        at(start + 25),
        { film },
        { grade: 'unacceptable', signs: [dice.pick(faults)], extent: 'film', retake: 'ordered' },
      );
      exposure(t, at(start + 30), `${film}-again`, day, film);
      t.run(at(start + 36), line, { films: [`${film}-again`], ...developed, ...rest });
    } else if (dice.onceIn(4)) {
      t.reviewed(at(start + 25), { film }, { grade: dice.onceIn(3) ? 'excellent' : 'acceptable' });
    }
  }
  t.replenished(at(1005), line, staff);
  if (day.lastOfWeek) t.tell(at(1020), 'day.closed', { line, lids: true, water: false, by: staff });
}

function exposure(t: Teller, at: string, film: string, day: Day, retakeOf?: string): void {
  const [first = 'R1', ...others] = day.tubes;
  t.exposed(at, film, day.dice.pick([first, ...others]), {
    view: day.dice.pick(['bitewing', 'periapical', 'periapical']),
    filmSize: '2',
    ...(retakeOf ? { retakeOf } : {}),
  });
}

function warmSeason(date: string): boolean {
  return daysFrom('2026-05-15', date) >= 0;
}

/** 455 -> "07:35". */
export function clock(minutesAfterMidnight: number): string {
  const pad = (value: number): string => String(value).padStart(2, '0');
  return `${pad(Math.floor(minutesAfterMidnight / 60))}:${pad(minutesAfterMidnight % 60)}`;
}
