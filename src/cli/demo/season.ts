import { DateTime } from 'luxon';
import { offices, type Office } from './offices.js';
import { ordinaryDay } from './ordinary-day.js';
import { holidays, isClosed, isTold, ordinaryChanges, seasonDates, workingDays } from './plan.js';
import { Dice } from './random.js';
import { localTime, Teller, type SentEvent } from './teller.js';
import { chairside, darkroom, filmStock, instruments, rollerDay, setUp } from './upkeep.js';
import { toldWeeks, type ToldWeek } from './weeks/index.js';

/** A season of the invented group: the told weeks inside ordinary ones. */
export interface Season {
  /** In the order in which they happened, whichever office sent them. */
  readonly events: readonly SentEvent[];
  /** Where the demo's clock stands, ms: the evening of the last day. */
  readonly end: number;
}

/** Makes the season; the same seed makes the same one. The told weeks do not depend on the seed. */
export function season(seed = 1): Season {
  const weeks = toldWeeks();
  const events = offices.flatMap((office) => [
    ...ordinarySeason(
      office,
      weeks.filter((week) => week.office === office),
      seed,
    ),
    ...weeks.filter((week) => week.office === office).flatMap((week) => week.events),
  ]);
  const timed = events.map((event) => ({ event, at: Date.parse(event.time) }));
  timed.sort((a, b) => a.at - b.at);
  const end = DateTime.fromISO(`${seasonDates.to}T20:00`, { zone: 'America/Los_Angeles' }).toMillis();
  return { events: timed.map((one) => one.event), end };
}

/** What one office does on the days that are not told. */
export function ordinarySeason(office: Office, weeks: readonly ToldWeek[], seed: number): SentEvent[] {
  const t = new Teller(office, 'season');
  const tubes = office.config.tubes.map((tube) => tube.id);
  const days = workingDays(office);
  const changes = new Map(office.config.lines.map((line) => [line.id, new Set(ordinaryChanges(line.id, days, weeks))]));
  setUp(t, seasonDates.setUp);
  for (const date of holidays) closedOn(t, date);

  let month = seasonDates.setUp.slice(0, 7);
  for (const date of days) {
    const dice = new Dice(`${seed}/${office.id}/${date}`);
    const weekday = localTime(office, `${date}T12:00`).weekday;
    const free = office.config.lines.filter((line) => !isTold(weeks, line.id, date));
    if (date.slice(0, 7) !== month && !isClosed(weeks, date)) {
      month = date.slice(0, 7);
      instruments(t, date);
      filmStock(t, date);
      for (const line of office.config.lines) if (line.method !== 'chairside') darkroom(t, date, line.id);
    }
    for (const line of free) {
      const change = changes.get(line.id)?.has(date) ?? false;
      if (line.method === 'manual') {
        if (weekday === 1) {
          t.tell(`${date}T07:30`, 'fixer.cleared', {
            line: line.id,
            time: { value: 120 + dice.whole(0, 40), unit: 's' },
          });
        }
        ordinaryDay(t, { date, line: line.id, tubes, dice, change, lastOfWeek: weekday === 5 });
      } else if (line.method === 'chairside' && dice.onceIn(9)) {
        chairside(t, date, line.id, dice.pick(['R1', 'R2']), dice);
      } else if (line.method === 'automatic' && (change || weekday === 2)) {
        rollerDay(t, date, line.id, dice, change);
      }
    }
  }
  return t.events;
}

function closedOn(t: Teller, date: string): void {
  t.tell(`${DateTime.fromISO(date).minus({ days: 3 }).toFormat('yyyy-MM-dd')}T17:15`, 'site.closed', {
    from: date,
    to: date,
    reason: 'holiday',
  });
}
