import type { AnyEvent, EventRef } from '../events/event.js';
import type { SiteConfig } from '../events/site.js';
import type { RuleSet } from '../packs/book.js';
import type { Scene } from '../packs/selector.js';
import type { Alike } from './alike.js';
import { reviewedFilm } from './apply/films.js';
import type { CausesAnswer } from './consult/causes.js';
import type { RateFigures } from './rates/figures.js';
import { wordIn } from './refs.js';
import type { BathState, LineState, SiteState, TubeState } from './state.js';
import type { TrendFigures } from './trends/figures.js';

/**
 * What a rule is judged on: the state after the event was applied, the event, and what the event is about. For a due
 * instant there is no event. Facts and limits are read through it; it lives for one judgement only.
 */
export interface Moment {
  readonly at: number;
  readonly state: SiteState;
  readonly site: SiteConfig;
  readonly rules: RuleSet;
  readonly event?: AnyEvent;
  readonly line?: LineState;
  readonly bath?: { readonly name: string; readonly state: BathState };
  readonly tube?: TubeState;
  readonly scene: Scene;
  /** Instruments whose readings this judgement rests on, and the fact that each gave; the facts fill it. */
  readonly relied: Map<string, string>;
  /** For a judgement without an event: the one that it hangs on. */
  readonly anchor?: EventRef;
  /** Readings of measures that the event brought, by fact. */
  readonly brought?: ReadonlyMap<string, number>;
  /** For a trend and for a rate: what it follows. */
  readonly trend?: TrendFigures;
  readonly rate?: RateFigures;
  /** For the review of a film: what its signs may come from. */
  readonly ranked?: () => CausesAnswer | undefined;
  /** For the same: the films of the last days that show the same. */
  readonly alike?: () => Alike;
  /** For a duty: what it owes, for its message. */
  readonly owing?: { readonly afterClosure: boolean; readonly count: number };
}

/** The moment of an event; undefined while the site is not configured. */
export function momentOf(state: SiteState, rules: RuleSet, event: AnyEvent): Moment | undefined {
  if (state.site === null) return undefined;
  // A review speaks of the line that developed the film; which unit exposed it is one question among others.
  const film = event.type === 'film.reviewed' ? reviewedFilm(state, event) : undefined;
  const line = state.lines[film?.line ?? wordIn(event, 'line') ?? ''];
  const name = wordIn(event, 'bath');
  const bath = line?.baths[name ?? ''];
  return {
    at: event.at,
    state,
    site: state.site,
    rules,
    event,
    line,
    bath: bath !== undefined && name !== undefined ? { name, state: bath } : undefined,
    tube: state.tubes[wordIn(event, 'tube') ?? ''],
    scene: sceneOf(line, readsDeveloper(event) ? 'developer' : name, wordIn(event, 'method')),
    relied: new Map(),
  };
}

/** The thermometer of an opening round stands in the developer. */
function readsDeveloper(event: AnyEvent): boolean {
  return event.type === 'day.opened' && event.data.temperature !== undefined;
}

/** What selectors see of a line; the fill's own chemistry outranks the line's configuration. */
export function sceneOf(line: LineState | undefined, bath?: string, method?: string): Scene {
  const developer = line?.baths['developer']?.fill;
  return {
    method: method ?? line?.config.method,
    chemistry: developer?.kind ?? line?.config.chemistry ?? (line === undefined ? undefined : defaultChemistry(line)),
    bath,
    product: developer?.product ?? line?.config.product,
    line: line?.id,
  };
}

function defaultChemistry(line: LineState): string {
  return line.config.method === 'chairside' ? 'rapid' : 'standard';
}
