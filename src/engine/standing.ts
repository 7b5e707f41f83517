import { daysBetween } from './calendar.js';
import { clearingRatio, fillAge } from './facts/baths.js';
import type { Moment } from './moment.js';
import type { RunState } from './state.js';

/** Days of the closure that ended last, if it ended today; where the record begins after it there is nothing better. */
function closedFor({ state, line }: Moment): number | undefined {
  const ended = state.closures.filter(
    (one) => (one.line === undefined || one.line === line?.id) && one.to <= state.at && one.to >= state.day.start,
  );
  const longest = Math.max(...ended.map(({ from, to }) => to - from));
  return ended.length === 0 ? undefined : Math.round(longest / 86_400_000);
}

/** How the baths of the line stand: what a run that goes through them now would be told of. */
export function standing(moment: Moment): Partial<RunState> {
  const { line } = moment;
  if (line === undefined) return {};
  const bath = (name: 'developer' | 'fixer') => {
    const age = fillAge(moment, name);
    return age === undefined ? undefined : { age, films: line.baths[name]?.films ?? 0 };
  };
  const before = line.used.findLast(({ date }) => date < moment.state.day.date)?.date;
  const idle = before === undefined ? closedFor(moment) : daysBetween(before, moment.state.day.date);
  return pick({
    ...{ developer: bath('developer'), fixer: bath('fixer'), strip: line.wedge, idle },
    clearing: clearingRatio(line),
  });
}

/** Only what is known: a state has no field that is undefined. */
export const pick = (values: Record<string, unknown>): object =>
  Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined));
