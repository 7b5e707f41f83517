import type { HowOften } from '../radiography/defects/likelihood.js';
import type { VoltageRule } from '../radiography/exposure/voltage.js';
import type { RunRule } from '../statistics/run-rules.js';

/** The shapes of a rule pack after it was read and found without fault. Everything here is plain, serialisable data. */

/** On whose word a finding stands, weakest first. `law` means: outside a rule of law that was read as text. */
export const severities = ['advice', 'warning', 'standard', 'law'] as const;
export type Severity = (typeof severities)[number];

/** Who speaks. The first four bind and intersect; maker and practice stand beside the law; the clinic only tightens. */
export const layers = ['federal', 'state', 'county', 'city', 'maker', 'practice', 'clinic'] as const;
export type Layer = (typeof layers)[number];
export const bindingLayers: readonly Layer[] = ['federal', 'state', 'county', 'city'];

/** How the source of a rule was seen. Only `text` can carry the severity `law`. */
export const readings = ['text', 'agency', 'summary', 'draft', 'practice'] as const;
export type Reading = (typeof readings)[number];

export interface Citation {
  /** What a person would look up: "WAC 246-225A-090", or "common practice, no source". */
  readonly text: string;
  readonly url?: string;
  /** The date or edition printed on the copy that was read. */
  readonly shown?: string;
  readonly read: Reading;
  readonly note?: string;
}

/** A quantity as written: value and UCUM unit, kept as written for display; `canonical` is in the dimension's unit. */
export interface Quantity {
  readonly value: number;
  readonly unit: string;
  readonly canonical: number;
}

/** A stretch of time: calendar units are counted in the site's zone, clock units in seconds. */
export interface Period {
  readonly count: number;
  readonly unit: 'mo' | 'wk' | 'd' | 'h' | 'min';
}

/**
 * One side of a limit. A chart bound looks its value up by another fact; `plus` widens or narrows the looked-up value
 * (an allowance); `times` multiplies a fact (twice the clearing time).
 */
export type Bound =
  | { readonly kind: 'quantity'; readonly quantity: Quantity }
  | { readonly kind: 'period'; readonly period: Period }
  | { readonly kind: 'chart'; readonly chart: string; readonly plus?: Quantity }
  | { readonly kind: 'fact'; readonly fact: string; readonly times: number };

/** Which lines, baths and chemistry a limit, chart or duty speaks of; an absent field means any. */
export interface Selector {
  readonly method?: readonly string[];
  readonly chemistry?: readonly string[];
  readonly bath?: readonly string[];
  readonly product?: readonly string[];
  readonly line?: readonly string[];
}

/**
 * One layer's word on a named quantity. Limits of the same id in several packs form the ladder that a value is judged
 * by: each is judged for itself, so binding layers intersect and the highest severity broken is the finding's.
 */
export interface Limit {
  /** The shared name, such as `development-time`. */
  readonly id: string;
  /** The fact it bounds; gives the unit. For a period bound, the age in question. */
  readonly of: string;
  readonly for: Selector;
  readonly min?: Bound;
  readonly max?: Bound;
  /** Shown, never judged. */
  readonly target?: { readonly min: Quantity; readonly max: Quantity };
  /**
   * How a chart bound stands to a maker's sheet on file: `fallback` gives way to the sheet, `alternative` is met by
   * either; absent, the bound stands whatever the sheet says.
   */
  readonly role?: 'fallback' | 'alternative';
  readonly severity: Severity;
  readonly citation: Citation;
  readonly deprecated?: Deprecated;
}

/** A rule or limit on its way out: still judged, and said to be so. */
export interface Deprecated {
  readonly reason: string;
  /** Local date. */
  readonly since: string;
  /** Full id of a rule, or the name of a limit. */
  readonly replacedBy?: string;
}

/**
 * The technique chart of an office: what each view is exposed with on a unit, for patients of one size and film of one
 * speed. kV, mA, s.
 */
export interface Technique {
  readonly id: string;
  readonly title: string;
  /** Sites and units that it is for; absent: any. */
  readonly for: { readonly site?: readonly string[]; readonly tube?: readonly string[] };
  readonly filmSpeed: string;
  readonly tubeVoltage: number;
  readonly tubeCurrent: number;
  /** How an exposure at another voltage is held against it. */
  readonly voltageRule: VoltageRule;
  /** Pulses a second of its units, for rows and exposures that are told in pulses. */
  readonly pulsesPerSecond?: number;
  readonly rows: readonly TechniqueRow[];
  readonly citation: Citation;
}
export interface TechniqueRow {
  readonly views: readonly string[];
  /** Absent: any that no other row is for. */
  readonly patientSize?: string;
  readonly time: number;
}

/** How a table answers between its keys: not at all, by the row of the next smaller key, or by the straight line. */
export const lookups = ['exact', 'step', 'linear'] as const;
export type Lookup = (typeof lookups)[number];

/**
 * A table from one fact, or two, to another. Outside its rows it has no answer, nor where the copy read is doubtful, nor
 * within its gaps. Keys, values and gaps are in canonical units.
 */
export interface Chart {
  readonly id: string;
  readonly title: string;
  /** The limit this chart answers for; a maker's chart takes the place of a deferring bound of that limit. */
  readonly answers: string;
  readonly by: string;
  /** The second fact it is looked up by; every row then has a second key. */
  readonly and?: string;
  readonly gives: string;
  /** Absent: `step`. */
  readonly lookup?: Lookup;
  readonly for: Selector;
  /** The columns' units as the pack writes them, UCUM; "1" where it counts. */
  readonly units: { readonly by: string; readonly and?: string; readonly gives: string };
  /** Ascending by key, and under one key by the second. */
  readonly rows: readonly ChartRow[];
  /** Keys at which the copy read is doubtful; of a chart of two facts the first key with all its rows. */
  readonly doubtful: readonly number[];
  /** Single cells of a chart of two facts that are, by both keys. */
  readonly doubtfulCells?: readonly (readonly [number, number])[];
  /** Between two neighbouring keys of a column, where a value between them means nothing. */
  readonly gaps?: readonly ChartGap[];
  readonly citation: Citation;
}
export interface ChartRow {
  readonly key: number;
  readonly and?: number;
  readonly value: number;
}
export interface ChartGap {
  readonly of: 'by' | 'and';
  readonly from: number;
  readonly to: number;
}

/** An operand of a condition: a literal (quantities already canonical), a fact, or the ladder of a limit. */
export type Operand =
  | string
  | number
  | boolean
  | null
  | readonly (string | number)[]
  | { readonly fact: string }
  | { readonly limit: string };

export interface Leaf {
  readonly fact: string;
  readonly operator: OperatorName;
  readonly value: Operand;
}
/** A json-rules-engine condition tree over the fact catalogue. */
export type Condition =
  Leaf | { readonly all: readonly Condition[] } | { readonly any: readonly Condition[] } | { readonly not: Condition };

export const operatorNames = [
  'equal',
  'notEqual',
  'in',
  'notIn',
  'contains',
  'doesNotContain',
  'lessThan',
  'lessThanInclusive',
  'greaterThan',
  'greaterThanInclusive',
  'below',
  'above',
  'outside',
] as const;
/** `below`, `above` and `outside` compare a fact with the ladder of a limit; the rest are json-rules-engine's. */
export type OperatorName = (typeof operatorNames)[number];

/** A sentence with `{fact}` and `{limit.name}` placeholders; the first variant whose condition holds is said. */
export interface Message {
  readonly when?: Condition;
  readonly say: string;
}

/** What a finding is about. Film-like topics (run, film, event, mount) never clear by a later event. */
export const topicKinds = [
  'run',
  'film',
  'event',
  'mount',
  'line',
  'fill',
  'tube',
  'lot',
  'instrument',
  'site',
] as const;
export type TopicKind = (typeof topicKinds)[number];

interface RuleBase {
  /** `<pack id>/<name>`; stable across versions. */
  readonly id: string;
  readonly title: string;
  readonly for: Selector;
  readonly messages: readonly Message[];
  /** Rules of one cause share a card on the board of their line or unit; absent: the rule stands for itself. */
  readonly cause?: string;
  /** What to do now, and the next test; sentences. */
  readonly advise?: string;
  readonly retest?: string;
  readonly caution?: string;
  /** Present unless a limit that the rule names carries it. */
  readonly severity?: Severity;
  readonly citation: Citation;
  readonly tests: readonly RuleTest[];
  readonly deprecated?: Deprecated;
}

export interface Check extends RuleBase {
  readonly kind: 'check';
  /** Event types; none for a rate, which is judged at the end of a site-day. */
  readonly on: readonly string[];
  readonly about: TopicKind;
  readonly when: Condition;
  /** `never`, or `passing`: when it is next evaluable and false. */
  readonly clears: 'never' | 'passing';
  /** A passed re-test of another kind: where the check itself cannot be judged and this holds, it counts as passed. */
  readonly clearedBy?: Condition;
  /** A later firing within this joins the open finding of the same rule (and line) instead of opening another. */
  readonly join?: 'day' | Period;
  /** It joins only one for which this fact is the same. */
  readonly same?: string;
  /** Its findings are worded anew for so long after they open, whenever what the record knows of the film grows. */
  readonly again?: Period;
  readonly hold?: 'line' | 'tube';
  /** What its facts `trend.*` are of. */
  readonly trend?: Trend;
  /** What its facts `rate.*` are of. */
  readonly rate?: Rate;
}

/** A measure followed over time on a control chart. Amounts are in the measure's canonical unit. */
export interface Trend {
  /** A fact of `packs/measures.ts`. */
  readonly of: string;
  /** Readings without which nothing is said. */
  readonly atLeast: number;
  /** The aim; `setup`: the mean of the first five readings; `own`: that of all earlier ones that are kept. */
  readonly centre: number | 'setup' | 'own';
  /** The standard deviation is taken as no less than this: reading the same film twice differs that much. */
  readonly leastSpread: number;
  /** Weight of the latest reading in the smoothed mean, 0 to 1. */
  readonly smoothing: number;
  /** Run rules that are judged besides the two usual ones. */
  readonly also: readonly RunRule[];
  /** The limit whose crossing is foreseen, and how many days ahead that is worth saying. */
  readonly forecast?: { readonly limit: string; readonly within: number };
}

/** A share of exposures over a window of whole site-days, held against a share by an exact test. */
export interface Rate {
  readonly of: 'retakes' | 'rejects';
  readonly per: 'site' | 'tube' | 'operator';
  /** Site-days, the one that ends included. */
  readonly days: number;
  /** Exposures without which nothing is said. */
  readonly atLeast: number;
  /** A share in percent, or that of all the others at the site. */
  readonly against: number | 'rest';
}

/** Which events count: the type, fields with given values, fields that must be present (dotted names in `data`). */
export interface EventPattern {
  readonly event: string;
  readonly with: Readonly<Record<string, readonly (string | number | boolean)[]>>;
  readonly has: readonly string[];
}

/** When a duty is owed. */
export type Cadence =
  /** At least every so long since it was last done; from a limit, every rung has its own due instant. */
  | { readonly kind: 'every'; readonly limit?: string; readonly period?: Period; readonly films?: number }
  /** Each site-day, before the first such event. */
  | { readonly kind: 'before'; readonly before: readonly EventPattern[] }
  /** After such an event, within a time or before the next event of another kind. */
  | {
      readonly kind: 'after';
      readonly after: readonly EventPattern[];
      readonly within?: Period;
      readonly before?: readonly EventPattern[];
      /** Count the trigger's films; each film must be followed up. */
      readonly eachFilm: boolean;
    };

export interface Duty extends RuleBase {
  readonly kind: 'duty';
  /** Any of these satisfies it. */
  readonly must: readonly EventPattern[];
  readonly per: 'site' | 'line' | 'bath' | 'tube';
  readonly cadence: Cadence;
  /** `whenUsed` opens at the first use after the due instant. */
  readonly counts: 'always' | 'whenUsed';
  /** How long before its due instant it is on the due list. */
  readonly remind: Period;
}

export type Rule = Check | Duty;

/**
 * A test in the pack file: these events at a site, and what its rules have found after the last of them (or `until`).
 * Times are as `packs/test-time.ts` reads them.
 */
export interface RuleTest {
  readonly name: string;
  readonly kind: 'fires' | 'silent' | 'boundary';
  readonly site: Readonly<Record<string, unknown>>;
  /** What relative times count from. */
  readonly clock?: string;
  /** `{ type, time, data }`, quantities written as `76 [degF]`. */
  readonly events: readonly {
    readonly type: string;
    readonly time: string;
    /** How long after `time`: of an event that the file repeats. */
    readonly after?: Period;
    readonly data: Readonly<Record<string, unknown>>;
  }[];
  readonly until?: string;
  /** Technique charts of the test's office, beside those of the packs. */
  readonly techniques?: readonly Technique[];
  /** Full ids of rules whose findings it speaks of besides those of its own rule. */
  readonly rules?: readonly string[];
  /** Every finding of these rules, no more and no fewer. */
  readonly expect: readonly ExpectedFinding[];
}
/** What is said of a finding; what is left out is not looked at. */
export interface ExpectedFinding {
  /** Its full id; absent: the test's own rule, or the first of `rules`. */
  readonly rule?: string;
  /** `line M1`, `site`, `fill M1/developer`; a run, film or event by its number in the test: `run 2`. */
  readonly subject?: string;
  readonly line?: string;
  readonly severity?: Severity;
  readonly status?: string;
  readonly opened?: string;
  readonly occurrences?: number;
  readonly films?: number;
  readonly says?: string;
  /** Facts of the finding by name, bounds of its limits as `limit.NAME`. */
  readonly values?: Readonly<Record<string, Quantity | string | boolean>>;
}

/** Where a fault of a film comes from. */
export const stages = ['exposure', 'technique', 'processing', 'handling', 'storage', 'equipment'] as const;
export type Stage = (typeof stages)[number];

/** A published table that lists causes under signs. Tables of one lineage go back to one author: they are one voice. */
export interface DefectTable {
  readonly id: string;
  readonly title: string;
  readonly url?: string;
  readonly lineage: string;
}

/** A sign by its id of the event catalogue, as a person at the viewbox names it. */
export interface DefectSign {
  readonly id: string;
  readonly title: string;
  readonly about: string;
  /** Signs that one film cannot show beside it. */
  readonly excludes?: readonly string[];
}

/** A cause that a film which is not acceptable may have. */
export interface DefectCause {
  readonly id: string;
  readonly title: string;
  readonly stage: Stage;
  /** Share of films that are not acceptable at which it is at work, 0 to 1. Of an umbrella: 0, it has its members'. */
  readonly prior: number;
  /** One film, or all that go through the same bath, box or darkroom. */
  readonly affects: 'film' | 'run';
  /** Whether a film that is made again now comes out better, or only after the cause is mended. */
  readonly retake: 'now' | 'after';
  readonly act: string;
  /** What can be done for the film that is there. */
  readonly salvage?: string;
  /** The cheapest look that tells it from its rivals, and its minutes. */
  readonly test?: { readonly say: string; readonly minutes: number };
  /** Causes to be looked at before it: light-tightness before the safelight is blamed. */
  readonly after?: readonly string[];
  /** It is a name for these together. */
  readonly of?: readonly string[];
  readonly shows: readonly Shown[];
  readonly evidence: readonly CauseEvidence[];
  readonly citation: Citation;
}
/** That a cause makes a sign: the tables that list the pair, and how often the trade says it does. */
export interface Shown {
  readonly sign: string;
  readonly tables: readonly string[];
  readonly often?: HowOften;
}
/** What the record may say for or against a cause. */
export interface CauseEvidence {
  readonly when: Condition;
  /** Of the odds: above 1 for it, below 1 against it. */
  readonly ratio: number;
  readonly say: string;
}

/** A question whose answer separates causes: at the viewbox, in the darkroom, or answered by the record. */
export interface DefectClue {
  readonly id: string;
  readonly ask: string;
  /** The record answers it: yes where this holds, no where it does not, nothing where it lacks a fact. */
  readonly when?: Condition;
  /** What the record says where the answer is yes. */
  readonly say?: string;
  readonly supports: readonly string[];
  readonly against: readonly string[];
  /** Of the odds of what it supports where the answer is yes; of what it is against, one over it. */
  readonly ratio: number;
  /** Of the odds of what it supports where the answer is no; of what it is against, one over it. */
  readonly otherwise: number;
  readonly citation: Citation;
}

export interface Defects {
  readonly tables: readonly DefectTable[];
  readonly signs: readonly DefectSign[];
  readonly causes: readonly DefectCause[];
  readonly clues: readonly DefectClue[];
  /** Absent: the pack tells of none. */
  readonly confirmed?: readonly ConfirmedCause[];
}

/** How often a cause was confirmed at the sites of an organisation, older times weighing less. */
export interface ConfirmedCause {
  readonly cause: string;
  readonly weight: number;
}

export interface Pack {
  readonly id: string;
  readonly version: string;
  readonly title: string;
  readonly authority: string;
  readonly layer: Layer;
  /** The jurisdiction a site must list for it to apply; absent: everywhere. */
  readonly jurisdiction?: string;
  /** Local dates; in force from the start of `from` to the end of `to` in the site's zone. */
  readonly from?: string;
  readonly to?: string;
  readonly limits: readonly Limit[];
  readonly charts: readonly Chart[];
  /** Absent: none. */
  readonly techniques?: readonly Technique[];
  /** What is known of faults of films: absent where a pack says nothing of them. */
  readonly defects?: Defects;
  readonly rules: readonly Rule[];
  /** Tests of what other packs' rules find by this pack's limits and charts; each names its rules. */
  readonly tests?: readonly RuleTest[];
  /** What the source was searched for and did not show: recorded as not known, never as "no requirement". */
  readonly notKnown: readonly { readonly topic: string; readonly note: string; readonly citation: Citation }[];
}
