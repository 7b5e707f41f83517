import type { EventRef } from '../events/event.js';
import type { FilmSize } from '../events/film-size.js';
import type { LineConfig, SiteConfig, TubeConfig } from '../events/site.js';
import { kept } from '../packs/measures.js';
import type { Finding } from './finding.js';

/**
 * Everything the fold knows of one site: plain JSON, bounded (rings and counters with caps, never a history).
 * Serialising and reading back between any two steps changes nothing.
 */
export interface SiteState {
  /** Id of the site, from its first event. */
  id: string;
  /** Advanced to: every due instant before it has been dealt with. */
  at: number;
  /** Order key of the last event applied. */
  last: { at: number; rank: number; source: string; id: string } | null;
  /** The configuration in force, and one that waits for the next site-day (a change of zone). */
  site: SiteConfig | null;
  next: SiteConfig | null;
  /** Bounds of the current site-day, ms, and its local date. */
  day: { start: number; end: number; date: string };
  closures: Closure[];
  lines: Record<string, LineState>;
  tubes: Record<string, TubeState>;
  instruments: Record<string, InstrumentState>;
  lots: Record<string, LotState>;
  /** Recent films by id, newest last, at most `caps.films`. */
  films: FilmState[];
  /** Recent runs, newest last, at most `caps.runs`. */
  runs: RunState[];
  duties: Record<string, DutyState>;
  /** The latest readings of each measure, by `fact|line:M1` or `fact|tube:R1`. */
  series: Record<string, Series>;
  /** Exposures, retakes and rejects of the latest site-days that had any, newest last. */
  counts: CountedDay[];
  /** The last event of the current site-day that counted something: rates are judged when the day ends. */
  counted: EventRef | null;
  /** Open findings by id. */
  findings: Record<string, Finding>;
  /** The open finding of each lasting spell, by `rule|topic`. */
  spells: Record<string, string>;
  /** Open findings that never clear and whose rule has not been met on their line since, by `rule|line`. */
  uneased: Record<string, string[]>;
  /** Recently closed ones, newest last: people's late words still attach to them. */
  closed: Finding[];
  /** What people did that no finding covers, newest last; absent: nothing. */
  orphans?: Orphan[];
  /** What confirmed causes taught; absent: nothing. */
  learned?: Learned;
  /** Checks that could not be judged, by `rule|topic`, until they can. */
  unevaluable: Record<string, Unevaluable>;
  /** The next instant at which time alone changes something, or null: when a sweep has to look. */
  nextDue: number | null;
  /** What fell out of a ring, by kind. */
  dropped: Record<string, number>;
}

export interface Closure {
  readonly from: number;
  /** The instant work resumes (exclusive end). */
  to: number;
  readonly line?: string;
  /** True when `to` was given as an instant, not as a date. */
  readonly timed: boolean;
}

export interface LineState {
  readonly id: string;
  config: LineConfig;
  baths: Record<string, BathState>;
  day: { films: number };
  /** The latest site-days with films, newest last. */
  used: DayUse[];
  /** Site-days with films since the developer was last replenished or changed, today excluded, and their films. */
  sinceReplenished: { days: number; films: number };
  replenishedAt?: number;
  /** The last strip; `tells` what a difference can be blamed on. */
  wedge?: {
    at: number;
    steps: number;
    direction: 'lighter' | 'darker' | 'same';
    tells: 'processing' | 'unitAndProcessing';
    /** Of the developer then, Cel. */
    temperature?: number;
  };
  /**
   * Densities of the reference film, base plus fog first, once a strip that did not differ from it was read, and how warm
   * the developer was then, Cel.
   */
  reference?: { id?: string; lot?: string; densities: number[]; temperature?: number };
  /** Densities of the last strips of the reference film's lot, and of those of a fresh lot that is being crossed over. */
  strips?: number[][];
  fresh?: { lot: string; strips: number[][] };
  fixerClearing?: { fresh?: number; latest?: number; at: number };
  /** The last coin test of each kind, and whether the coin showed. */
  coins?: Record<string, { at: number; seen: boolean }>;
  /** The last test film of each kind, and whether it came out as it should. */
  testFilms?: Record<string, { at: number; asExpected: boolean }>;
  /** When the rollers were last cleaned, ms. */
  rollersAt?: number;
  status: { status: 'inUse' | 'outOfUse'; at: number } | null;
}

export interface BathState {
  fill: {
    ref: EventRef;
    day: string;
    kind?: string;
    product?: string;
    dilution?: string;
    lot?: string;
    by?: string;
  } | null;
  temperature?: { value: number; at: number; instrument?: string };
  level?: { value: string; at: number };
  /** Through this fill: films, the area of those whose size was said (mm2), and how many said none. */
  films: number;
  area: number;
  unsized: number;
}

/** What a line developed on one site-day, in the terms of `BathState`. */
export interface DayUse {
  readonly date: string;
  films: number;
  area: number;
  unsized: number;
}

export interface TubeState {
  readonly id: string;
  config: TubeConfig;
  status: { status: 'inUse' | 'outOfUse'; at: number } | null;
}

/** What is known of an instrument by its checks, ms. After a failure its readings between two passes are in doubt. */
export interface InstrumentState {
  passedAt?: number;
  /** The last pass before the latest failure; absent: it had never passed. */
  trustedTo?: number;
  failedAt?: number;
  /** What rests on its readings since its last check, by finding, or by rule and topic where the rule was met. */
  used?: Record<string, UsedReading>;
}

export interface UsedReading {
  readonly rule: string;
  readonly fact: string;
  readonly topic: string;
  readonly line?: string;
  /** The first time, ms, and how often. */
  readonly since: number;
  readonly count: number;
  readonly finding?: string;
}

export interface LotState {
  receivedAt?: number;
  openedAt?: number;
  /** First instant at which the lot is out of date (a month is good through its last day). */
  expiresAt?: number;
  speed?: string;
  temperature?: number;
  humidity?: number;
}

export interface FilmState {
  film: string;
  exposedAt?: number;
  tube?: string;
  size?: FilmSize;
  /** Exposure over that of the technique chart. */
  ratio?: number;
  holder?: boolean;
  lot?: string;
  /** Who exposed it: told apart from others, never named. */
  by?: string;
  run?: EventRef;
  line?: string;
  /** What it showed when it was looked at last; empty: nothing. */
  signs?: string[];
  /** The finding on what it shows, by rule: looked at again it is no other film. */
  shown?: Record<string, string>;
  /** Exposures made to replace it. */
  repeats?: number;
  /** The event that first said it was refixed. */
  refixed?: string;
  /** The site-day and the cell that its exposure counts in; absent: none of a patient. */
  counted?: { day: string; cell: string };
  rejected?: true;
}

/** One run of films through a line, with what was known of its baths: hours later they have moved on. Times in s. */
export interface RunState {
  readonly ref: EventRef;
  readonly line: string;
  /** Who developed it: told apart from others, never named. */
  by?: string;
  /** Of the developer, Cel, and when it was read if that was after the run, ms. */
  temperature?: number;
  readAt?: number;
  time?: number;
  /** Its time over the least that the temperature asks for. */
  timeRatio?: number;
  rinse?: number;
  fixing?: number;
  washing?: number;
  /** Age in days and films of each bath. */
  developer?: UsedBath;
  fixer?: UsedBath;
  /** Clearing time over that of the fresh fixer. */
  clearing?: number;
  /** The last strip before it. */
  strip?: NonNullable<LineState['wedge']>;
  /** Days since the line developed anything before that day. */
  idle?: number;
}

/** Weights of confirmed causes as of `at`, ms: each began as 1 and has decayed since. */
export interface Learned {
  readonly at: number;
  readonly weights: Record<string, number>;
  /** The latest, newest last, with the prior of the cause before and after. */
  lessons: readonly Lesson[];
}

export interface Lesson {
  readonly at: number;
  readonly finding: string;
  readonly cause: string;
  readonly before: number;
  readonly after: number;
}

export interface UsedBath {
  readonly age: number;
  readonly films: number;
}

/** Readings of a measure, oldest first: instant (ms) and value. */
export interface Series {
  readings: [number, number][];
  /** Since when its drift is reckoned; null for all. */
  since: number | null;
  /** The first readings, up to five, whose mean is the operating level. */
  setup: number[];
  /** The reference film that they were held against; absent: none, or one without a name. */
  reference?: string;
}

export interface Tally {
  exposures: number;
  retakes: number;
  rejects: number;
}

/** What one site-day counted, by `unit|person`, and what was counted of it without saying which film. */
export interface CountedDay {
  readonly date: string;
  readonly cells: Record<string, Tally>;
  tallied?: Omit<Tally, 'retakes'>;
  /** A film was graded on it: where nobody looks, nothing is rejected. */
  reviewed?: true;
}

export interface DutyState {
  readonly rule: string;
  readonly line?: string;
  readonly bath?: string;
  readonly tube?: string;
  /** What last satisfied it, and since when it is owed at all. */
  done: EventRef | null;
  since: number;
  /** Films since it was last done. */
  films: number;
  /** Follow-ups owed (an `after` duty), oldest first, and how many came in since nothing was owed. */
  pending: { ref: EventRef; due: number | null; count: number; films: string[] }[];
  batch: number;
  /** Next instant at which the fold must look at it; null: none. */
  look: number | null;
  /** Fell due at this instant while nobody worked: owed at the first work afterwards. */
  owed?: number;
  /** … and that was a closure, not just days that are not worked. */
  afterClosure?: boolean;
  /** The open finding it feeds. */
  finding?: string;
  /** What the last finding it opened hung on. */
  anchored?: string;
}

/** People's work that found no finding: the event, and what it was addressed to. Instants in ms. */
export interface Orphan {
  readonly ref: EventRef;
  readonly finding?: string;
  readonly rule?: string;
  readonly topic?: string;
  readonly instant?: number;
}

export interface Unevaluable {
  readonly rule: string;
  readonly topic: string;
  readonly line?: string;
  since: number;
  latest: number;
  count: number;
  missing: Lack[];
  /** Limits whose charts have no answer; absent: none. */
  unanswered?: NoAnswer[];
}

/**
 * Why a fact is not there. `stale` and `doubtful` have the instant of the reading, ms; a doubtful one its instrument.
 * `unnamed`: the event does not say what the rule is about; `fact` is then that word, such as `instrument`.
 */
export interface Lack {
  readonly fact: string;
  readonly why: 'missing' | 'stale' | 'doubtful' | 'unnamed';
  readonly readAt?: number;
  readonly instrument?: string;
}

/**
 * A chart that was asked and has no answer at `key` (canonical): under its first row, over its last, or in a gap; or one
 * that is not in force at the site, by its id.
 */
export interface NoAnswer {
  readonly limit: string;
  readonly pack: string;
  readonly side: 'min' | 'max';
  readonly chart: string;
  /** Both absent where it is not in force. */
  readonly by?: string;
  readonly key?: number;
  readonly why: 'below' | 'above' | 'gap' | 'notInForce';
}

/** Caps of the rings; what falls out is counted in `dropped`. */
export const caps = {
  films: 1000,
  runs: 300,
  lessons: 20,
  closed: 100,
  orphans: 50,
  findings: 500,
  pending: 200,
  evidence: 20,
  said: 20,
  closures: 50,
  /** Of one instrument. */
  used: 200,
  lots: 200,
  unevaluable: 1000,
  /** Of one measure and line or unit. */
  readings: kept.readings,
  /** Site-days. */
  counts: kept.days,
  /** Of one site-day. */
  cells: 60,
  /** Site-days with films of one line. */
  useDays: 28,
};
