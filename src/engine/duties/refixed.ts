import type { AnyEvent } from '../../events/event.js';
import { filmCount } from '../../events/film.js';
import type { Said } from '../../packs/book.js';
import type { Duty } from '../../packs/model.js';
import { refKey } from '../refs.js';
import type { DutyState, SiteState } from '../state.js';
import { instancesFor } from './instances.js';

/** What one refixing still has to settle, and the instances it may settle it at. */
export interface Refixed {
  readonly instances: readonly DutyState[];
  /** Films named by id that wait for nothing else than this. */
  readonly named: ReadonlySet<string>;
  /** Films that could be any: counted only, or named now for the first time. */
  unnamed: number;
}

/**
 * Films are refixed wherever a full fixer stands, which need not be the line they were developed on: an id is looked for
 * on every line, a count first on the line that is named, and on all of them where that one owes nothing of the kind.
 * Ids that a run or an earlier refixing had named never stand for other films.
 */
export function refixedBy(state: SiteState, duty: Said<Duty>, event: AnyEvent): Refixed | undefined {
  if (duty.cadence.kind !== 'after' || !duty.cadence.eachFilm || event.type !== 'film.refixed') return undefined;
  const every = Object.values(state.duties).filter((instance) => instance.rule === duty.id);
  const here = instancesFor(state, duty, event);
  const named = new Set(event.data.films ?? []);
  const own = refKey(event);
  const spoken = new Set(
    state.films.filter(({ run, refixed }) => run !== undefined || refixed !== own).map(({ film }) => film),
  );
  for (const { pending } of every) for (const { films } of pending) for (const film of films) spoken.add(film);
  const unnamed = named.size > 0 ? [...named].filter((film) => !spoken.has(film)).length : filmCount(event.data);
  const holders = every.filter(({ pending }) => pending.some(({ films }) => films.some((film) => named.has(film))));
  const waiting = (instances: readonly DutyState[]) => instances.filter(({ pending }) => pending.length > 0);
  const others = unnamed === 0 ? [] : waiting(here).length > 0 ? here : waiting(every);
  return { instances: [...new Set([...holders, ...others])], named, unnamed };
}

/** Takes from what an instance waits for: films by id, then as many as could be any, oldest first. */
export function settleFilms(instance: DutyState, refixed: Refixed): void {
  const { named } = refixed;
  for (const entry of instance.pending) {
    const before = entry.films.length;
    entry.films = entry.films.filter((film) => !named.has(film));
    entry.count -= before - entry.films.length;
  }
  for (const entry of instance.pending) {
    // A film that has a name was not one of those refixed under other names.
    const open = named.size > 0 ? Math.max(0, entry.count - entry.films.length) : entry.count;
    const taken = Math.min(open, refixed.unnamed);
    if (taken <= 0) continue;
    // Of films with names nobody knows which they were: the names stay, until there are more names than films.
    entry.count -= taken;
    refixed.unnamed -= taken;
  }
  instance.pending = instance.pending.filter(({ count }) => count > 0);
}
