import type { Said } from '../../packs/book.js';
import type { Duty } from '../../packs/model.js';
import type { Moment } from '../moment.js';
import type { DutyState, SiteState } from '../state.js';
import { dutyMoment } from './instances.js';
import { dueRungs } from './rungs.js';

export type Base = Pick<Moment, 'at' | 'state' | 'site' | 'rules' | 'event'>;

/** When the fold must look at an `every` duty next: at its earliest due instant, never before now. */
export function schedule(base: Base, duty: Said<Duty>, instance: DutyState): void {
  if (duty.cadence.kind !== 'every') return;
  const first = dueRungs(dutyMoment(base, instance, undefined), duty, instance)[0];
  instance.look = first === undefined ? null : Math.max(first.due, base.at);
}

/** The smallest instant at which any duty must be looked at. */
export function nextLook(state: SiteState): number | null {
  let next: number | null = null;
  for (const key in state.duties) {
    const look = state.duties[key]?.look;
    if (typeof look === 'number' && (next === null || look < next)) next = look;
  }
  return next;
}

/** The earliest of the due instants after `at`. */
export function nextAfter(at: number, dues: readonly number[]): number | null {
  return dues.reduce<number | null>((next, due) => (due > at && (next === null || due < next) ? due : next), null);
}
