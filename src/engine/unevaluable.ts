import type { Said } from '../packs/book.js';
import { facts as catalogue } from '../packs/facts.js';
import type { Check } from '../packs/model.js';
import { freshFacts, freshFor } from '../packs/supply.js';
import { isDoubtful } from './facts/baths.js';
import type { Verdict } from './finding.js';
import { missingFor } from './ladder.js';
import type { Moment } from './moment.js';
import { noAnswers } from './no-answer.js';
import { caps, type Lack, type SiteState, type Unevaluable } from './state.js';

/**
 * Missing facts are visible, with the event that would supply them (law L19), and so are charts that have no answer. No
 * gap is a limit that says nothing here, nor what this event may report and does not: a level read alone lacks no
 * temperature, a coin no densitometer.
 * @param key under which it is kept: the rule and its topic, or its line where topics come anew with every film.
 * @param open the facts, and limits as `limit:<id>`, that left the condition open.
 */
export function noteUnevaluable(
  moment: Moment,
  check: Said<Check>,
  key: string,
  open: readonly string[],
  ladders: ReadonlyMap<string, readonly Verdict[]>,
): void {
  const { event } = moment;
  // Of a unit or a person with few films nobody expects a rate.
  if (check.rate !== undefined && check.rate.per !== 'site') return;
  if (check.rate !== undefined && moment.rate?.films === undefined) open = ['rate.films'];
  // A strip laid beside its reference film brings no density, and lacks none.
  if (
    check.trend !== undefined &&
    catalogue.get(check.trend.of)?.aside === true &&
    !moment.brought?.has(check.trend.of)
  )
    return;
  // What this event did report, and is in doubt, is a gap all the same (law L17b).
  const isAside = ({ fact, why, readAt }: Lack) => {
    const known = catalogue.get(fact);
    if (known?.aside !== true || event === undefined || !known.fedBy.includes(event.type)) return false;
    return !(why === 'doubtful' && readAt === event.at);
  };
  const limits = open.filter((name) => name.startsWith('limit:') && (ladders.get(name)?.length ?? 0) > 0);
  const names = open.flatMap((name) => {
    if (!name.startsWith('limit:')) return [name];
    return limits.includes(name) ? missingFor(moment, name.slice(6)) : [];
  });
  const missing = [...new Set(names)].map((fact) => lackOf(moment, fact)).filter((lack) => !isAside(lack));
  const unanswered = limits.flatMap((name) => noAnswers(moment, name.slice(6), ladders.get(name) ?? []));
  if (missing.length > 0 || unanswered.length > 0) note(moment, check, key, { missing, unanswered });
}

/** What a rule lacks to be judged, put down by rule and topic: since when it has not been judged, and how often. */
export function note(
  { at, line, state }: Pick<Moment, 'at' | 'line' | 'state'>,
  rule: { readonly id: string },
  key: string,
  { missing, unanswered }: { readonly missing: Lack[]; readonly unanswered: NonNullable<Unevaluable['unanswered']> },
): void {
  const known = state.unevaluable[key];
  const topic = key.slice(rule.id.length + 1);
  if (known === undefined && !hasRoom(state)) return;
  const entry: Unevaluable = {
    rule: rule.id,
    topic,
    line: line?.id,
    since: known?.since ?? at,
    latest: at,
    count: (known?.count ?? 0) + 1,
    missing,
  };
  if (unanswered.length > 0) entry.unanswered = unanswered;
  state.unevaluable[key] = entry;
}

/** A site has no more of them than rules and lines, but instruments have any name: beyond the cap they are counted. */
export function hasRoom(state: SiteState): boolean {
  if (Object.keys(state.unevaluable).length < caps.unevaluable) return true;
  state.dropped['unevaluable'] = (state.dropped['unevaluable'] ?? 0) + 1;
  return false;
}

/** Why a fact is not there: nobody said, its reading is too old, or what read it failed its check. */
function lackOf({ at, line, state }: Pick<Moment, 'at' | 'line' | 'state'>, fact: string): Lack {
  const reading = line?.baths[freshFacts.get(fact) ?? '']?.temperature;
  if (reading === undefined) return { fact, why: 'missing' };
  const { at: readAt, instrument } = reading;
  if (at - readAt > freshFor.ms) return { fact, why: 'stale', readAt };
  if (instrument !== undefined && isDoubtful(state.instruments[instrument], readAt))
    return { fact, why: 'doubtful', readAt, instrument };
  return { fact, why: 'missing' };
}
