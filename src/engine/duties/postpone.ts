import type { Said } from '../../packs/book.js';
import type { Duty } from '../../packs/model.js';
import { closureAt, isWorkingDay, nextWorkingDay, siteDay } from '../calendar.js';
import type { DutyState } from '../state.js';
import type { Base } from './schedule.js';

/**
 * Closed and non-working days owe nothing: what fell due then is owed at the first work afterwards, at the latest at
 * the end of the first working day. A closure that names the hour of its end resumes at that hour.
 */
export function postpone(base: Base, duty: Said<Duty>, instance: DutyState): boolean {
  const { state, site, at } = base;
  if (duty.counts === 'whenUsed') {
    instance.look = null;
    return true;
  }
  // A look at the end of a working day asks about the day that just ended.
  const asked = instance.owed === undefined ? at : at - 1;
  const closure = closureAt(state.closures, asked, instance.line);
  if (closure !== undefined) instance.afterClosure = true;
  if (closure === undefined && isWorkingDay(state, site, asked, instance.line)) return false;
  if (closure?.timed === true) {
    instance.look = closure.to;
    return closure.to > at;
  }
  instance.look = endOfWorkingDay(base, instance, asked);
  return true;
}

/** End of the first working day that ends after now: one that a closure cut short has begun as a working day. */
function endOfWorkingDay({ state, site, at }: Base, { line }: DutyState, from: number): number | null {
  for (let day = from; ;) {
    const resume = nextWorkingDay(state, site, day, line);
    if (resume === undefined) return null;
    const { end } = siteDay(resume, site.zone);
    if (end > at) return end;
    day = end;
  }
}

/** When to look again at what was postponed already: closures, working days or the zone may be others now. */
export function lookAgain(base: Base, duty: Said<Duty>, instance: DutyState): number | null {
  if (duty.counts === 'whenUsed') return null;
  const closure = closureAt(base.state.closures, base.at, instance.line);
  return closure?.timed === true ? closure.to : endOfWorkingDay(base, instance, base.at);
}
