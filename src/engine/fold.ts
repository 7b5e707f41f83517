import type { AnyEvent } from '../events/event.js';
import { filmCount } from '../events/film.js';
import type { SiteConfig } from '../events/site.js';
import type { PackBook, RuleSet } from '../packs/book.js';
import { tellAgain } from './again.js';
import { apply } from './apply/index.js';
import { configure } from './apply/site.js';
import { siteDay } from './calendar.js';
import { runChecks, type Probe } from './checks.js';
import { withCauses } from './consult/causes.js';
import { dutiesAt, lookAtDuties, owedAtWork } from './duties/index.js';
import { beginDuties } from './duties/refresh.js';
import { nextLook } from './duties/schedule.js';
import type { Finding } from './finding.js';
import { recordFilms } from './film-record.js';
import { closeFinding } from './findings.js';
import { putInForce } from './in-force.js';
import { momentOf } from './moment.js';
import { applyPeople } from './people.js';
import { count, endDay } from './rates/index.js';
import { refKey, refOf } from './refs.js';
import { linesOf, seenBy } from './round.js';
import type { SiteState } from './state.js';
import { Touched } from './touched.js';
import { withReadings } from './trends/series.js';

export function createState(): SiteState {
  return {
    id: '',
    at: -8_640_000_000_000_000,
    last: null,
    site: null,
    next: null,
    day: { start: 0, end: 0, date: '' },
    closures: [],
    lines: {},
    tubes: {},
    instruments: {},
    lots: {},
    films: [],
    runs: [],
    duties: {},
    series: {},
    counts: [],
    counted: null,
    findings: {},
    spells: {},
    uneased: {},
    closed: [],
    unevaluable: {},
    nextDue: null,
    dropped: {},
  };
}

export function cloneState(state: SiteState): SiteState {
  return structuredClone(state);
}

/**
 * Apply one event: `(state, event, packs) -> state'` and the findings it touched. Synchronous and deterministic: no
 * clock, no database, no randomness. For speed the given state is consumed and returned changed; who needs the old one
 * clones it first. Events must come in order of their keys.
 */
export function step(state: SiteState, event: AnyEvent, book: PackBook, probe?: Probe): Finding[] {
  const touched = new Touched(state);
  state.id = event.site;
  advanceTo(state, event.at, false, book, touched, probe);
  state.last = { at: event.at, rank: event.rank, source: event.source, id: event.id };
  const before = state.site;
  if (before !== null) {
    const base = { at: event.at, state, site: before, rules: book.at(event.at, before), event };
    if (workTypes.has(event.type)) owedAtWork(base, touched);
  }
  if (event.type === 'chemistry.changed') endFill(state, event.data.line, event.data.bath, event, touched);
  apply(state, event);
  const site = state.site;
  if (site === null) {
    state.dropped['unconfigured'] = (state.dropped['unconfigured'] ?? 0) + 1;
    return touched.list();
  }
  const rules = book.at(event.at, site);
  const base = { at: event.at, state, site, rules, event };
  if (event.type === 'site.configured') putInForce(state, site, rules, event.at, touched);
  // A fill of another kind of chemistry is under other duties.
  else if (event.type === 'chemistry.changed') beginDuties(base, touched);
  countFilms(state, rules, event, touched);
  count(state, event);
  dutiesAt(base, touched);
  const moment = momentOf(state, rules, event);
  if (moment !== undefined) {
    const read = withCauses(withReadings(moment));
    recordFilms(read);
    runChecks(read, touched, probe);
  }
  for (const line of linesOf(state, event)) {
    const ofLine = momentOf(state, rules, seenBy(state, line.id, event));
    if (ofLine !== undefined) runChecks(withReadings(ofLine), touched, probe, 'line');
  }
  tellAgain(state, rules, event, touched);
  applyPeople(state, rules, event, touched);
  state.nextDue = nextInstant(state, site, book);
  return touched.list();
}

/** Time passes up to and including `to`: what fell due on the way opens, dated at its due instant. */
export function advance(state: SiteState, to: number, book: PackBook, probe?: Probe): Finding[] {
  const touched = new Touched(state);
  advanceTo(state, to, true, book, touched, probe);
  return touched.list();
}

/**
 * When time alone next changes something, by these packs. A stored state knows it by the packs of its day: others that
 * begin later leave the rest of it standing, but not this.
 */
export function nextDue(state: SiteState, book: PackBook): number | null {
  return state.site === null ? null : nextInstant(state, state.site, book);
}

/** Work that a postponed duty is owed before; configuration, people and reports are none. */
const workTypes: ReadonlySet<string> = new Set([
  'day.opened',
  'chemistry.changed',
  'chemistry.replenished',
  'bath.measured',
  'film.processed',
  'film.refixed',
  'stepwedge.read',
  'testfilm.read',
  'fixer.cleared',
]);

/**
 * Walk through day ends, changes of the packs in force and due instants in their order. A day end or a change of packs
 * at an instant comes before an event there; a due instant comes after it, since a value exactly at a limit is within.
 */
function advanceTo(
  state: SiteState,
  to: number,
  inclusive: boolean,
  book: PackBook,
  touched: Touched,
  probe?: Probe,
): void {
  let stood = { at: state.at, turns: 0 };
  for (;;) {
    const site = state.site;
    if (site === null) break;
    if (state.at > stood.at) stood = { at: state.at, turns: 0 };
    else if (++stood.turns > mostTurns) throw standstill(state);
    const rules = book.at(Math.max(state.at, state.day.start), site);
    const turn = Math.min(state.day.end, rules.to);
    const due = nextLook(state) ?? Infinity;
    if (turn <= to && turn <= due) {
      state.at = turn;
      const waiting = state.next !== null && turn === state.day.end;
      if (turn === state.day.end) {
        endDay(state, rules, turn, touched, probe);
        turnDay(state, site, turn, to, due, book, rules);
      }
      // Only what comes into force makes other things lapse: a day that merely ends must leave no trace of its own, since
      // how many days are stepped over depends on who looks when.
      const now = state.site ?? site;
      const inForce = book.at(state.at, now);
      if (waiting || inForce !== rules) putInForce(state, now, inForce, state.at, touched);
    } else if (due < to || (inclusive && due === to)) {
      state.at = Math.max(state.at, due);
      lookAtDuties({ at: state.at, state, site, rules: book.at(state.at, site) }, touched);
    } else break;
  }
  if (to > state.at) state.at = to;
  if (state.site !== null) state.nextDue = nextInstant(state, state.site, book);
}

/**
 * Turns at one instant. A few are usual: a day ends, packs change, duties fall due. A fold that never got on would hold
 * up every other site of the process; this one site is reported instead, and keeps its events.
 */
const mostTurns = 10_000;

function standstill(state: SiteState): Error {
  const duties = Object.entries(state.duties).filter(([, { look }]) => look !== null && look <= state.at);
  const which = duties.map(([key]) => key).slice(0, 3);
  const what = which.length === 0 ? 'at a change of the day or of the packs' : `with the duty ${which.join(' and ')}`;
  return new Error(`Time does not get on at the site ${state.id} from ${new Date(state.at).toISOString()}, ${what}.`);
}

/** The next instant at which time alone changes something: a due instant, a day's end that something waits for, other packs. */
function nextInstant(state: SiteState, site: SiteConfig, book: PackBook): number | null {
  const ends = state.next !== null || (state.counted !== null && book.at(state.at, site).rates.length > 0);
  const waiting = ends ? state.day.end : Infinity;
  const packs = book.at(Math.max(state.at, state.day.start), site).to;
  const next = Math.min(nextLook(state) ?? Infinity, waiting, packs);
  return next === Infinity ? null : next;
}

/** The site-day ends: counters of the day move on, a waiting configuration comes into force. */
function turnDay(
  state: SiteState,
  site: SiteConfig,
  end: number,
  to: number,
  due: number,
  book: PackBook,
  rules: RuleSet,
): void {
  for (const line of Object.values(state.lines)) {
    const fresh = Math.max(line.replenishedAt ?? -Infinity, line.baths['developer']?.fill?.ref.at ?? -Infinity);
    if (line.day.films > 0 && fresh < state.day.start) {
      line.sinceReplenished.days += 1;
      line.sinceReplenished.films += line.day.films;
    }
    line.day = { films: 0 };
  }
  const waiting = state.next;
  if (waiting !== null) {
    configure(state, waiting, end);
    state.next = null;
  }
  // Nothing happens on the days of a long silence: go straight to the day in which something does. A configuration that
  // comes into force is such a thing, and so are packs that do: what begins and lapses with them does so then, whenever
  // it is noticed.
  const changes = waiting !== null || book.at(end, site) !== rules;
  const target = changes ? end : Math.max(end, Math.min(to, due, rules.to));
  state.day = siteDay(target, (state.site ?? site).zone);
  state.at = Math.max(end, state.day.start);
}

/** A new fill ends what was said of the old one. */
function endFill(state: SiteState, line: string, bath: string, event: AnyEvent, touched: Touched): void {
  const fill = state.lines[line]?.baths[bath]?.fill;
  if (!fill) return;
  const topic = `fill:${line}/${bath}/${refKey(fill.ref)}`;
  for (const finding of Object.values(state.findings)) {
    if (finding.topic !== topic) continue;
    closeFinding(state, finding, 'cleared', event.at, refOf(event));
    touched.add(finding);
  }
}

/** Films developed while a hold or an omission stands open on their line are counted with it. */
function countFilms(state: SiteState, rules: RuleSet, event: AnyEvent, touched: Touched): void {
  if (event.type !== 'film.processed') return;
  for (const finding of Object.values(state.findings)) {
    if (finding.line !== event.data.line) continue;
    const rule = rules.rules.get(finding.rule);
    const omission = rule?.kind === 'duty' && !(rule.cadence.kind === 'after' && rule.cadence.eachFilm);
    if (finding.hold === undefined && !omission) continue;
    // A hold speaks of patients' films; test strips are developed to end it.
    if (finding.hold !== undefined && (event.data.purpose ?? 'patient') !== 'patient') continue;
    finding.films += filmCount(event.data);
    touched.add(finding);
  }
}
