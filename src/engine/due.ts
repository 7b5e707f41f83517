import type { PackBook } from '../packs/book.js';
import type { Duty, Severity } from '../packs/model.js';
import { before, clockUnits, closureAt, isWorkingDay, lastWorkingDay, localDate } from './calendar.js';
import { dutyMoment } from './duties/instances.js';
import { chainAt, type DueRung, dueRungs } from './duties/rungs.js';
import type { Verdict } from './finding.js';
import { isHigher, say } from './findings.js';
import type { DutyState, SiteState } from './state.js';
import { sayDayFrom, sayTime } from './words.js';

/** One thing to do, with the instant it is due at and the last working day for it. */
export interface DueItem {
  readonly rule: string;
  readonly title: string;
  /** "Change M1 chemistry by Fri 6 Mar (last working day before Sun 8 Mar)." */
  readonly text: string;
  readonly line?: string;
  readonly tube?: string;
  readonly baths?: readonly string[];
  /** First instant at which it is overdue, ms. */
  readonly due: number;
  readonly lastWorkingDay: string | null;
  /** On the list already (within its reminder), or only known. */
  readonly listed: boolean;
  readonly overdue: boolean;
  readonly severity: Severity;
  /** Films or follow-ups owed. */
  readonly count?: number;
  /** What an `obligation.done` names to say that it was done, where one can. */
  readonly obligation?: string;
  readonly chain: readonly Verdict[];
}

/**
 * Everything with a due instant at a site, soonest first; `listed` marks what belongs on the list at `at`. The state
 * must stand at `at` (see `advance`).
 */
export function dueList(state: SiteState, at: number, book: PackBook): DueItem[] {
  const site = state.site;
  if (site === null) return [];
  const base = { at, state, site, rules: book.at(at, site) };
  const items: DueItem[] = [];
  for (const instance of Object.values(state.duties)) {
    const duty = base.rules.duties.find(({ id }) => id === instance.rule);
    if (duty === undefined) continue;
    const moment = dutyMoment(base, instance, undefined);
    const rungs = dueRungs(moment, duty, instance);
    const first = rungs[0];
    const due = first?.due ?? instance.pending.find((entry) => entry.due !== null)?.due;
    if (due === undefined || due === null) continue;
    const chain = first === undefined ? [] : chainAt(rungs, at);
    const zone = site.zone;
    const clock = first === undefined || isClock(duty.cadence.kind === 'every' ? duty.cadence.period?.unit : undefined);
    const last = lastWorkingDay(state, site, due - 1, instance.line);
    const title = say(duty.title, moment, chain, {});
    const count = instance.pending.reduce((sum, entry) => sum + entry.count, 0);
    const closed = instance.finding === undefined && closureAt(state.closures, at, instance.line) !== undefined;
    const waits = closed || instance.owed !== undefined;
    items.push({
      rule: duty.id,
      title,
      text:
        clock && count > 0
          ? owedText(title, count, instance, { due, at }, zone)
          : dayText(state, title, { due, last, at, waits }, zone, instance.line),
      line: instance.line,
      tube: instance.tube,
      baths: instance.bath === undefined ? undefined : [instance.bath],
      due,
      lastWorkingDay: last === undefined ? null : localDate(last, zone),
      // What falls due in a closure is to be done before it; while the office is closed nothing is asked of it.
      listed:
        !closed && before(closureAt(state.closures, due - 1, instance.line)?.from ?? due, duty.remind, zone) <= at,
      overdue: due <= at && !waits,
      severity: severityWhenDue(rungs, Math.max(due, at)) ?? duty.severity ?? 'advice',
      count: count > 0 ? count : undefined,
      obligation: obligationOf(duty),
      chain,
    });
  }
  return together(items).sort((a, b) => a.due - b.due || (a.rule < b.rule ? -1 : 1));
}

function obligationOf({ must }: Duty): string | undefined {
  const name = must.find(({ event }) => event === 'obligation.done')?.with['obligation']?.[0];
  return name === undefined ? undefined : String(name);
}

function isClock(unit: keyof typeof clockUnits | undefined): boolean {
  return unit !== undefined && clockUnits[unit] !== undefined;
}

interface When {
  readonly due: number;
  readonly at: number;
}

function owedText(title: string, count: number, { batch }: DutyState, { due, at }: When, zone: string): string {
  return `${title}: ${count} of ${batch} still to do, ${due <= at ? 'was due ' : ''}by ${sayTime(due, zone)}.`;
}

function dayText(
  state: SiteState,
  title: string,
  { due, last, at, waits }: When & { readonly last: number | undefined; readonly waits: boolean },
  zone: string,
  line?: string,
): string {
  const end = due - 1;
  const day = (instant: number) => sayDayFrom(instant, at, zone);
  if (due <= at) return `${title}${waits ? ' before the next films' : ''}: was due by ${day(end)}.`;
  const site = state.site;
  if (last === undefined || (site !== null && isWorkingDay(state, site, end, line))) return `${title} by ${day(end)}.`;
  return `${title} by ${day(last)} (last working day before ${day(end)}).`;
}

/** On whose word it will be overdue: that of the layers whose due instant is the first. */
function severityWhenDue(rungs: readonly DueRung[], due: number): Severity | undefined {
  return rungs
    .filter((rung) => rung.due <= due)
    .flatMap((rung) => rung.verdict(due)?.severity ?? [])
    .reduce<Severity | undefined>((top, one) => (top === undefined || isHigher(one, top) ? one : top), undefined);
}

/** Developer and fixer that are due together are one row. */
function together(items: readonly DueItem[]): DueItem[] {
  const rows = new Map<string, DueItem>();
  for (const item of items) {
    const key = [item.rule, item.line, item.tube, item.due].join('|');
    const row = rows.get(key);
    rows.set(key, row === undefined ? item : { ...row, baths: [...(row.baths ?? []), ...(item.baths ?? [])] });
  }
  return [...rows.values()];
}
