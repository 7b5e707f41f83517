import type { FactDefinition } from './facts.js';
import { runRules } from '../statistics/run-rules.js';
import { measuredOn } from './measures.js';

/** What a trend may signal: the run rules of control charts by name, and the smoothed mean beyond its limits. */
export const signals = ['smoothed', ...runRules] as const;
/**
 * Those that a trend has to ask for. The smoothed mean and three standard deviations are always judged; the others cry
 * wolf: with all rules of a set together, several alarms a year are chance.
 */
export const askedFor = runRules.filter((name) => name !== 'beyond-3-sigma');

/** Events that a rate counts. */
export const countedEvents = ['film.exposed', 'film.reviewed', 'films.tallied'];

/** Facts of a trend, for its condition and its message. Deviations are in standard deviations of a single reading. */
const ofTrends: readonly FactDefinition[] = [
  { name: 'trend.readings', kind: 'count', meaning: 'readings kept of the measure', fedBy: measuredOn },
  {
    name: 'trend.signals',
    kind: 'text',
    words: [...signals],
    meaning: 'rules of a control chart that the latest reading breaks',
    called: 'readings for the trend',
    scarce: true,
    fedBy: measuredOn,
  },
  {
    name: 'trend.deviation',
    kind: 'quantity',
    unit: '1',
    meaning: 'latest reading from the centre, in standard deviations',
    called: 'readings for the trend',
    scarce: true,
    fedBy: measuredOn,
  },
  {
    name: 'trend.smoothed',
    kind: 'quantity',
    unit: '1',
    meaning: 'smoothed mean from the centre, in its own standard deviations',
    called: 'readings for the trend',
    scarce: true,
    fedBy: measuredOn,
  },
  {
    name: 'trend.direction',
    kind: 'text',
    words: ['rising', 'falling', 'level'],
    meaning: 'which way the readings drift; level where the slope cannot be told from none',
    called: 'readings for the trend',
    scarce: true,
    fedBy: measuredOn,
  },
  {
    name: 'trend.crosses',
    kind: 'flag',
    meaning: 'the drift reaches its limit within the time that the trend asks about',
    called: 'readings for the trend',
    scarce: true,
    fedBy: measuredOn,
  },
  ...(
    [
      ['trend.crossing', 'until the drift reaches its limit'],
      ['trend.earliest', 'until the earliest that it may'],
      ['trend.latest', 'until the latest that it may'],
    ] as const
  ).map(([name, meaning]): FactDefinition => ({
    ...{ name, kind: 'quantity', unit: 'd', shown: 'days', meaning, aside: true, fedBy: measuredOn },
  })),
];

/** Facts of a rate: of the films that count, within its window. */
const ofRates: readonly FactDefinition[] = [
  {
    name: 'rate.films',
    kind: 'count',
    meaning: 'films retaken or rejected',
    called: 'graded films',
    fedBy: countedEvents,
  },
  {
    name: 'rate.exposures',
    kind: 'count',
    meaning: 'exposures of patients among which they are',
    fedBy: countedEvents,
  },
  {
    name: 'rate.share',
    kind: 'quantity',
    unit: '%',
    meaning: 'share of the exposures',
    called: 'exposures in its days',
    scarce: true,
    fedBy: countedEvents,
  },
  {
    name: 'rate.low',
    kind: 'quantity',
    unit: '%',
    meaning: 'lower end of its 95 % interval',
    called: 'exposures in its days',
    scarce: true,
    fedBy: countedEvents,
  },
  {
    name: 'rate.high',
    kind: 'quantity',
    unit: '%',
    meaning: 'upper end of its 95 % interval',
    called: 'exposures in its days',
    scarce: true,
    fedBy: countedEvents,
  },
  {
    name: 'rate.expected',
    kind: 'quantity',
    unit: '%',
    meaning: 'the share it is held against',
    called: 'exposures to compare with',
    scarce: true,
    fedBy: countedEvents,
  },
  {
    name: 'rate.chance',
    kind: 'quantity',
    unit: '1',
    meaning: 'how often chance alone would give at least as many, times the number of those compared',
    called: 'exposures to compare with',
    scarce: true,
    fedBy: countedEvents,
  },
  {
    name: 'rate.apart',
    kind: 'flag',
    meaning: 'person and unit can be told apart: they do not nearly always come together',
    fedBy: countedEvents,
  },
];

export const followedFacts: readonly FactDefinition[] = [...ofTrends, ...ofRates];

/** Facts that only a trend has, and those that only a rate has: no other rule could be judged by them. */
export const trendFacts: ReadonlySet<string> = new Set(ofTrends.map(({ name }) => name));
export const rateFacts: ReadonlySet<string> = new Set(ofRates.map(({ name }) => name));
