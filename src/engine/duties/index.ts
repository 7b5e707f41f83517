import type { EventRef } from '../../events/event.js';
import { filmCount } from '../../events/film.js';
import type { Said } from '../../packs/book.js';
import type { Duty } from '../../packs/model.js';
import { dueAfter } from '../calendar.js';
import type { Moment } from '../moment.js';
import { refOf, wordIn } from '../refs.js';
import { pushCapped } from '../ring.js';
import { seenBy } from '../round.js';
import { caps, type DutyState } from '../state.js';
import { dutiesAbout, dutyMoment, instancesFor, isUse } from './instances.js';
import { matches } from './pattern.js';
import { postpone } from './postpone.js';
import { refixedBy, settleFilms, type Refixed } from './refixed.js';
import { chainAt, dueRungs } from './rungs.js';
import { nextAfter, schedule, type Base } from './schedule.js';
import { omit, release } from './speak.js';
import type { Touched } from '../touched.js';

/** Time reaches `base.at`: deal with every duty that must be looked at by then. */
export function lookAtDuties(base: Base, touched: Touched): void {
  for (const instance of Object.values(base.state.duties)) {
    if (instance.look === null || instance.look > base.at) continue;
    const duty = base.rules.duties.find(({ id }) => id === instance.rule);
    if (duty === undefined) instance.look = null;
    else fallDue(base, duty, instance, touched);
  }
}

function fallDue(base: Base, duty: Said<Duty>, instance: DutyState, touched: Touched): void {
  const due = instance.owed ?? instance.look ?? base.at;
  const postponed = instance.finding === undefined ? postpone(base, duty, instance) : false;
  if (postponed) {
    instance.owed = due;
    return;
  }
  open(base, duty, instance, { due }, touched);
}

function open(
  base: Base,
  duty: Said<Duty>,
  instance: DutyState,
  { due, trigger }: { due?: number; trigger?: EventRef },
  touched: Touched,
): void {
  const afterClosure = instance.afterClosure === true;
  delete instance.owed;
  delete instance.afterClosure;
  const count = owedCount(base, duty, instance, trigger);
  const moment = dutyMoment(base, instance, { afterClosure, count });
  const rungs = dueRungs(moment, duty, instance);
  instance.look = nextAfter(
    base.at,
    rungs.map((rung) => rung.due).concat(instance.pending.flatMap(({ due: d }) => d ?? [])),
  );
  if (duty.cadence.kind === 'after' && count === 0) return;
  omit(
    { duty, instance, moment, chain: chainAt(rungs, base.at), due, trigger, films: filmsAt(base, count, duty) },
    touched,
  );
}

function owedCount(base: Base, duty: Said<Duty>, instance: DutyState, trigger: EventRef | undefined): number {
  if (duty.cadence.kind !== 'after') return 1;
  return instance.pending
    .filter(({ due }) => trigger !== undefined || (due !== null && due <= base.at))
    .reduce((sum, { count }) => sum + count, 0);
}

function filmsAt(base: Base, count: number, duty: Said<Duty>): number {
  if (duty.cadence.kind === 'after' && duty.cadence.eachFilm) return count;
  return base.event?.type === 'film.processed' ? filmCount(base.event.data) : 0;
}

/** Work begins: what fell due while nobody worked is owed before anything else happens. */
export function owedAtWork(base: Base, touched: Touched): void {
  const { event, state } = base;
  if (event === undefined) return;
  const line = wordIn(event, 'line');
  for (const instance of Object.values(state.duties)) {
    if (instance.owed === undefined || base.at < instance.owed) continue;
    const duty = base.rules.duties.find(({ id }) => id === instance.rule);
    // Who begins the day by doing it owes nothing any more.
    if (duty === undefined || duty.counts === 'whenUsed' || matches(duty.must, seenBy(state, instance.line, event)))
      continue;
    if (line !== instance.line && !(line === undefined && event.type === 'day.opened')) continue;
    open(base, duty, instance, { due: instance.owed, trigger: refOf(event) }, touched);
  }
}

/** What an event does to the duties: first what it satisfies, then what it triggers. */
export function dutiesAt(base: Base & { event: NonNullable<Moment['event']> }, touched: Touched): void {
  const { event, rules, state } = base;
  for (const duty of dutiesAbout(rules, event.type)) {
    const refixed = refixedBy(state, duty, event);
    for (const instance of refixed?.instances ?? instancesFor(state, duty, event)) {
      const done = matches(duty.must, seenBy(state, instance.line, event));
      if (done) satisfy(base, duty, instance, refixed, touched);
      trigger(base, duty, instance, done, touched);
    }
  }
}

function satisfy(
  base: Base & { event: NonNullable<Moment['event']> },
  duty: Said<Duty>,
  instance: DutyState,
  refixed: Refixed | undefined,
  touched: Touched,
): void {
  const ref = refOf(base.event);
  const moment = dutyMoment(base, instance, undefined);
  if (duty.cadence.kind === 'after') {
    if (refixed === undefined) instance.pending = [];
    else settleFilms(instance, refixed);
    const overdue = instance.pending.some(({ due }) => due === null || due < base.at);
    if (!overdue) release(moment, instance, ref, touched);
    const { owed } = instance;
    instance.look = nextAfter(
      base.at,
      instance.pending.flatMap(({ due }) => due ?? []),
    );
    if (instance.pending.length === 0) instance.batch = 0;
    // What had waited for work to begin, and is not all done with it, is owed now.
    if (overdue && owed !== undefined) open(base, duty, instance, { due: owed }, touched);
  } else {
    release(moment, instance, ref, touched);
  }
  instance.done = ref;
  instance.films = 0;
  delete instance.owed;
  delete instance.afterClosure;
  schedule(base, duty, instance);
}

function trigger(
  base: Base & { event: NonNullable<Moment['event']> },
  duty: Said<Duty>,
  instance: DutyState,
  done: boolean,
  touched: Touched,
): void {
  const { event, state } = base;
  const { cadence } = duty;
  const ref = refOf(event);
  const here = wordIn(event, 'line') === instance.line || instance.line === undefined;
  if (cadence.kind === 'before') {
    const doneToday = instance.done !== null && instance.done.at >= state.day.start;
    if (here && !doneToday && matches(cadence.before, event)) open(base, duty, instance, { trigger: ref }, touched);
  } else if (cadence.kind === 'after') {
    if (here && !done && cadence.before !== undefined && instance.pending.length > 0 && matches(cadence.before, event))
      open(base, duty, instance, { trigger: ref }, touched);
    if (matches(cadence.after, event)) expectFollowUp(base, duty, instance, ref);
  } else if (here && isUse(event.type) && !done) {
    if (cadence.films !== undefined && event.type === 'film.processed') {
      instance.films += filmCount(event.data);
      if (instance.films > cadence.films && instance.finding === undefined)
        open(base, duty, instance, { due: base.at, trigger: ref }, touched);
    }
    if (duty.counts === 'whenUsed' && instance.owed !== undefined && instance.finding === undefined)
      open(base, duty, instance, { due: instance.owed, trigger: ref }, touched);
  }
}

/** An event that asks for a follow-up. */
function expectFollowUp(
  base: Base & { event: NonNullable<Moment['event']> },
  duty: Said<Duty>,
  instance: DutyState,
  ref: EventRef,
): void {
  const { cadence } = duty;
  if (cadence.kind !== 'after') return;
  const { event } = base;
  const run = event.type === 'film.processed' && cadence.eachFilm ? event.data : undefined;
  const count = run === undefined ? 1 : filmCount(run);
  const due = cadence.within === undefined ? null : dueAfter(event.at, cadence.within, base.site.zone);
  const entry = { ref, due, count, films: [...(run?.films ?? [])] };
  pushCapped(base.state, 'pending', instance.pending, entry, caps.pending);
  instance.batch += count;
  if (due !== null && (instance.look === null || due < instance.look)) instance.look = due;
}
