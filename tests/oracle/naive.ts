import { DateTime } from 'luxon';
import type { AnyEvent } from '../../src/events/event.js';

/**
 * A second, naive derivation of a few kinds of findings, straight from the sorted events and the printed rules, for a
 * site whose configuration does not change and that works every day. It shares nothing with the engine but the shape
 * of events; its numbers are typed from the sources named beside them.
 */
export interface Expected {
  readonly what: string;
  readonly opened: number;
  readonly severity: string;
  readonly closed?: number;
  readonly films: number;
}

/** All events in order, without what was taken back: by instant, rank, sender, id. */
export function inOrder(events: readonly AnyEvent[]): AnyEvent[] {
  const taken = new Set(
    events.flatMap((event) => (event.type === 'event.retracted' ? [`${event.data.source} ${event.data.id}`] : [])),
  );
  const compare = (a: string, b: string): number => Buffer.compare(Buffer.from(a), Buffer.from(b));
  return [...events]
    .filter((event) => event.type === 'event.retracted' || !taken.has(`${event.source} ${event.id}`))
    .sort((a, b) => a.at - b.at || a.rank - b.rank || compare(a.source, b.source) || compare(a.id, b.id));
}

const filmsOf = (data: { films?: readonly string[]; count?: number }): number => data.films?.length ?? data.count ?? 0;

/**
 * Runs on the manual line against the chart, minutes by whole degrees F: WAC 246-225-150(1)(a), Minn. R. 4732.0555.
 * New Mexico's copy (20.3.6.612 NMAC App. C) is in doubt at 77 and 79 F and decides nothing there.
 */
const rows: readonly (readonly [number, number])[] = [
  [60, 9.5], [61, 8.5], [62, 8], [63, 7], [64, 6.5], [65, 6], [66, 5.5], [67, 5.5], [68, 5], [69, 4.5], [70, 4.5],
  [71, 4], [72, 4], [73, 3.5], [74, 3.5], [75, 3], [76, 3], [77, 2.5], [78, 2.5], [79, 2], [80, 2],
]; // prettier-ignore

/** Whether a run broke the chart, and on whose word: `short` and `long` by instants and ids of runs. */
export function runsOffTheChart(events: readonly AnyEvent[], law: Law): Map<string, { short?: string; long?: string }> {
  const off = new Map<string, { short?: string; long?: string }>();
  let read: { value: number; at: number } | undefined;
  for (const event of inOrder(events)) {
    if (event.type === 'chemistry.changed' && event.data.line === 'M1' && event.data.bath === 'developer')
      read = undefined;
    if (
      event.type === 'bath.measured' &&
      event.data.line === 'M1' &&
      event.data.bath === 'developer' &&
      event.data.temperature !== undefined
    ) {
      read = { value: event.data.temperature, at: event.at };
    }
    if (event.type === 'day.opened' && event.data.line === 'M1' && event.data.temperature !== undefined) {
      read = { value: event.data.temperature, at: event.at };
    }
    if (event.type !== 'film.processed' || event.data.line !== 'M1') continue;
    const fresh = read !== undefined && event.at - read.at <= 4 * 3_600_000 ? read.value : undefined;
    const celsius = event.data.developer?.temperature ?? fresh;
    const time = event.data.developer?.time;
    if (celsius === undefined || time === undefined) continue;
    const fahrenheit = Math.round(((celsius * 9) / 5) * 1e6) / 1e6 + 32;
    if (fahrenheit < 60 || fahrenheit > 80) continue;
    const row = rows.filter(([degrees]) => degrees <= fahrenheit).at(-1);
    if (row === undefined) continue;
    const seconds = row[1] * 60;
    const doubtful = law === 'us-nm' && (row[0] === 77 || row[0] === 79);
    const found: { short?: string; long?: string } = {};
    if (time < seconds - 1e-6) found.short = law === undefined || doubtful ? 'warning' : 'law';
    if (time > seconds + 30 + 1e-6) found.long = 'warning';
    if (found.short ?? found.long) off.set(`${event.source} ${event.id}`, found);
  }
  return off;
}

/**
 * Holds by the wedge strip: more than two steps from the reference; only another strip ends them (L17a). A strip read in
 * densities alone is as many steps off as its middle step lies from the middle on the reference film, whose densities
 * are those of the first strip that did not differ from it and was read so; they stay (L16). Before it nobody can say.
 */
export function wedgeHolds(events: readonly AnyEvent[], line: string): Expected[] {
  const holds: Expected[] = [];
  let open: { opened: number; films: number } | undefined;
  let aims: readonly number[] | undefined;
  for (const event of inOrder(events)) {
    // L17a counts patients' films during a hold; strips and other test films are how it ends.
    const patients = event.type === 'film.processed' && (event.data.purpose ?? 'patient') === 'patient';
    if (patients && event.data.line === line && open) open.films += filmsOf(event.data);
    if (event.type !== 'stepwedge.read' || event.data.line !== line) continue;
    const { difference, densities } = event.data;
    let off: boolean;
    if (difference !== undefined) off = difference.steps > 2;
    else if (aims !== undefined && densities !== undefined) {
      // Of seven steps the fourth is the middle; strips here are as dark as a whole step, or darker or lighter than all.
      const near = aims.slice(2, 7);
      off = !near.some((aim) => Math.abs(aim - (densities[4] ?? NaN)) < 1e-6);
    } else continue;
    if (difference?.steps === 0) aims ??= densities;
    if (off) open ??= { opened: event.at, films: 0 };
    else if (open) {
      holds.push({ what: `hold ${line}`, severity: 'standard', ...open, closed: event.at });
      open = undefined;
    }
  }
  return open ? [...holds, { what: `hold ${line}`, severity: 'standard', ...open }] : holds;
}

export type Law = 'us-wa' | 'us-nm' | 'us-mn' | undefined;

/** The law a site is under from an instant on. */
export interface Under {
  readonly from: number;
  readonly law: Law;
}

const monthsBy = (law: Law): number | undefined => (law === 'us-wa' ? 2 : law === 'us-nm' ? 3 : undefined);

/**
 * The age of each bath of the manual tank: practice 60 days; Washington two months (WAC 246-225-150(1)(d)(iii)), New
 * Mexico three (20.3.6.612 NMAC App. C), Minnesota and elsewhere not known. In limit through the last day; opened at
 * the first instant after it, at the severity of what is broken, raised when the law's day is over too. When the site
 * comes under another law, that one's day counts from then on: the finding rises, comes down, or ends.
 * @param laws oldest first, the first at or before every event.
 */
export function oldBaths(
  events: readonly AnyEvent[],
  { zone, laws, since, until }: { zone: string; laws: readonly Under[]; since: number; until: number },
): Expected[] {
  const found: Expected[] = [];
  const story = inOrder(events);
  const lawAt = (at: number): Law => laws.filter(({ from }) => from <= at).at(-1)?.law;
  for (const bath of ['developer', 'fixer']) {
    const changes = story.filter(
      (event) => event.type === 'chemistry.changed' && event.data.line === 'M1' && event.data.bath === bath,
    );
    [since, ...changes.map(({ at }) => at)].forEach((from, index) => {
      const day = DateTime.fromMillis(from, { zone }).startOf('day');
      // Where midnight is skipped a day begins at one o'clock; the day that ends the sixty still begins at its own start.
      const afterSixty = day.plus({ days: 61 }).startOf('day').toMillis();
      const afterMonths = (law: Law): number => {
        const months = monthsBy(law);
        return months === undefined ? Infinity : day.plus({ months }).plus({ days: 1 }).startOf('day').toMillis();
      };
      const change = changes[index];
      const end = change?.at ?? until + 1;
      const isDue = (at: number): boolean => at >= afterSixty || at >= afterMonths(lawAt(at));
      const turns = [afterSixty, ...laws.flatMap(({ from: moved, law }) => [moved, afterMonths(law)])];
      const add = (opened: number, closed: number | undefined): void => {
        const last = closed ?? until + 1;
        const films = story
          .filter(({ type, at }) => type === 'film.processed' && at > opened && at < last)
          .reduce(
            (sum, event) =>
              sum + (event.type === 'film.processed' && event.data.line === 'M1' ? filmsOf(event.data) : 0),
            0,
          );
        found.push({
          what: index > 0 ? 'age' : 'age not known',
          opened,
          // Without a change on record nobody knows how old the bath is: unknown is no breach of a law.
          severity: index > 0 && afterMonths(lawAt(last - 1)) < last ? 'law' : 'warning',
          films,
          ...(closed === undefined ? {} : { closed }),
        });
      };
      let open: number | undefined;
      // A change at the very instant is still in time: what falls due comes after the events of its instant.
      for (const turn of [...new Set(turns)].filter((at) => at >= from && at < end).sort((a, b) => a - b)) {
        if (isDue(turn)) open ??= turn;
        else if (open !== undefined) {
          add(open, turn);
          open = undefined;
        }
      }
      if (open !== undefined) add(open, change?.at);
    });
  }
  return found;
}
