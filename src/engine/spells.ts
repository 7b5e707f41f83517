import { filmCount } from '../events/film.js';
import type { EventRef } from '../events/event.js';
import type { Said } from '../packs/book.js';
import type { Check } from '../packs/model.js';
import { readFact } from './facts/index.js';
import { dueAfter } from './calendar.js';
import type { Finding } from './finding.js';
import { addEvidence, closeFinding, fireAgain, joinFiring, openFinding, sayAnew, type Firing } from './findings.js';
import { filmKnown } from './apply/films.js';
import type { Moment } from './moment.js';
import type { FilmState } from './state.js';
import { refKey, refOf } from './refs.js';
import type { Touched } from './touched.js';

/** What a judgement hangs on: its event, or at the end of a day the last one that counted. */
function anchorOf({ event, anchor }: Moment): EventRef | undefined {
  return anchor ?? (event && refOf(event));
}

/** Films that the event speaks of, for what is counted on a finding. */
export function filmsOf({ event }: Moment): number {
  if (event?.type === 'film.reviewed') return event.data.film === undefined ? 0 : 1;
  return event?.type === 'film.processed' || event?.type === 'film.refixed' ? filmCount(event.data) : 0;
}

/** The check holds: its finding of this topic opens, or goes on. */
export function fire(
  moment: Moment,
  spoken: Firing,
  check: Said<Check>,
  topic: string,
  touched: Touched,
): Finding | undefined {
  const { state } = moment;
  const ref = anchorOf(moment);
  if (ref === undefined) return undefined;
  const open = openSpell(moment, check, topic, spoken.severity);
  if (open !== undefined) {
    // The same advice is not given twice.
    if (check.clears === 'passing' && spoken.severity === 'advice' && spoken.message === open.message) return open;
    if (check.clears === 'never' && !isSeenAgain(moment, open)) {
      open.films += filmsOf(moment);
      open.occurrences += 1;
      addEvidence(open, ref);
      if (check.again === undefined) joinFiring(open, spoken);
      else sayAnew(open, spoken);
    } else {
      fireAgain(open, spoken, ref);
    }
    rememberFilm(moment, open);
    touched.add(open);
    return open;
  }
  const finding = openFinding(state, spoken, {
    topic,
    anchor: ref,
    anchorKey: refKey(ref),
    openedAt: moment.at,
    evidence: [ref],
    films: filmsOf(moment),
    ...(check.again !== undefined && { also: { asked: askedIn(moment) } }),
  });
  if (check.clears === 'passing') state.spells[`${check.id}|${topic}`] = finding.id;
  else (state.uneased[`${check.id}|${lineTopic(moment)}`] ??= []).push(finding.id);
  rememberFilm(moment, finding);
  touched.add(finding);
  return finding;
}

/** The review, to be told of again. */
function askedIn({ event }: Moment): Finding['asked'] {
  if (event?.type !== 'film.reviewed') return undefined;
  const { film, run, grade, signs, extent } = event.data;
  const told = Object.entries({ film, run, grade, extent }).filter(([, value]) => value !== undefined);
  const { source, id, at } = event;
  return { ...Object.fromEntries(told), signs: [...signs], source, id, at };
}

/** The film that a review looks at. */
function filmOf({ state, event }: Moment): FilmState | undefined {
  return event?.type === 'film.reviewed' && event.data.film !== undefined
    ? filmKnown(state, event.data.film)
    : undefined;
}

function rememberFilm(moment: Moment, finding: Finding): void {
  const { rule, id } = finding;
  const film = filmOf(moment);
  if (film === undefined || film.shown?.[rule] === id) return;
  film.shown = { ...film.shown, [rule]: id };
  if (film.repeats !== undefined) finding.repeats = (finding.repeats ?? 0) + film.repeats;
}

const isSeenAgain = (moment: Moment, { rule, id }: Finding) => filmOf(moment)?.shown?.[rule] === id;

/**
 * The open finding that a firing belongs to: its spell, or one it joins by time on the same line, if it is on the same
 * word: what is outside practice alone is not made law by a run that is.
 */
function openSpell(
  moment: Moment,
  check: Said<Check>,
  topic: string,
  severity: Finding['severity'],
): Finding | undefined {
  const { state } = moment;
  const spell = state.spells[`${check.id}|${topic}`];
  if (spell !== undefined) return state.findings[spell];
  const isAlike = (finding: Finding) =>
    finding.severity === severity &&
    (check.same === undefined || finding.facts[check.same] === readFact(moment, check.same));
  const join = check.join;
  if (join === undefined) return undefined;
  const before = state.findings[filmOf(moment)?.shown?.[check.id] ?? ''];
  // A film that is looked at again stays with its finding, whatever is likeliest by now.
  if (before?.severity === severity) return before;
  return joinable(moment, check).find(
    (finding) =>
      isAlike(finding) &&
      (join === 'day'
        ? finding.openedAt >= state.day.start
        : moment.at <= dueAfter(finding.openedAt, join, moment.site.zone)),
  );
}

/** What a firing may join: until the rule was met again on the line; what joins by a fact, whatever came between. */
function joinable(moment: Moment, check: Said<Check>): Finding[] {
  const { findings, uneased } = moment.state;
  if (check.same !== undefined)
    return Object.values(findings).filter(({ rule, line }) => rule === check.id && line === moment.line?.id);
  return (uneased[`${check.id}|${lineTopic(moment)}`] ?? []).flatMap((id) => findings[id] ?? []);
}

/** The check was evaluable and did not fire: a lasting spell ends, and cards of single runs may leave the board. */
export function pass(moment: Moment, check: Said<Check>, topic: string, touched: Touched): void {
  const { state } = moment;
  const ref = anchorOf(moment);
  if (ref === undefined) return;
  const spell = state.spells[`${check.id}|${topic}`];
  const open = spell === undefined ? undefined : state.findings[spell];
  if (open !== undefined) {
    addEvidence(open, ref);
    closeFinding(state, open, 'cleared', moment.at, ref);
    touched.add(open);
  }
  const eased = `${check.id}|${lineTopic(moment)}`;
  const waiting = state.uneased[eased];
  if (waiting === undefined) return;
  for (const id of waiting) {
    const finding = state.findings[id];
    if (finding === undefined) continue;
    finding.easedAt = moment.at;
    touched.add(finding);
  }
  delete state.uneased[eased];
}

/** The line or unit of a moment, else the site. */
export function lineTopic(moment: Moment): string {
  return moment.line !== undefined
    ? `line:${moment.line.id}`
    : moment.tube !== undefined
      ? `tube:${moment.tube.id}`
      : 'site';
}
