import { filmFacts } from './film-facts.js';
import { followedFacts } from './followed-facts.js';

/**
 * The fact catalogue: every name a condition, a limit or a message may use, its unit, its meaning, and the event types
 * that supply it. It is data: the reader checks names and units against it, editors complete from it, and a check that
 * could not be judged says from it which event would have supplied the missing fact. The engine holds one reader for
 * each name (`engine/facts`).
 */
export interface FactDefinition {
  readonly name: string;
  readonly kind: 'quantity' | 'count' | 'text' | 'flag';
  /** UCUM code of the canonical unit, for quantities. */
  readonly unit?: string;
  /** How messages write it: 76 F, 5:00, 3 d, 1271 cm2. */
  readonly shown?: 'temperature' | 'temperatureDifference' | 'clock' | 'days' | 'date' | 'area';
  readonly meaning: string;
  /** What a person would write down of it, for the weekly list, where the meaning says more than that. */
  readonly called?: string;
  /** One of several things that its events may report: an event of these without it is about another, and lacks nothing. */
  readonly aside?: true;
  /** Missing while there is too little of what its name calls. */
  readonly scarce?: true;
  /** Event types that supply it; never empty. */
  readonly fedBy: readonly string[];
  /** Allowed words of a text fact. */
  readonly words?: readonly string[];
}

const processed = ['film.processed'];
const processedOr = (...types: string[]) => [...processed, ...types];

const list: readonly FactDefinition[] = [
  // The run of films in the event.
  {
    name: 'run.method',
    kind: 'text',
    words: ['manual', 'automatic', 'chairside'],
    meaning: 'how the run was processed',
    called: 'way of processing',
    fedBy: processed,
  },
  { name: 'run.films', kind: 'count', meaning: 'films in the run', fedBy: processedOr('film.refixed') },
  {
    name: 'run.purpose',
    kind: 'text',
    words: ['patient', 'working', 'test'],
    meaning: 'what the films are for',
    called: 'purpose of the films',
    fedBy: processed,
  },
  {
    name: 'run.endpoint',
    kind: 'text',
    words: ['timed', 'sight'],
    meaning: 'developed by the clock or by looking',
    called: 'way the end of development was judged',
    aside: true,
    fedBy: processed,
  },
  {
    name: 'run.developer.time',
    kind: 'quantity',
    unit: 's',
    shown: 'clock',
    meaning: 'time in the developer',
    fedBy: processed,
  },
  {
    name: 'run.developer.temperature',
    kind: 'quantity',
    unit: 'Cel',
    shown: 'temperature',
    meaning: 'developer temperature for the run: given with it, else the last reading within four hours',
    called: 'developer temperature',
    fedBy: processedOr('bath.measured', 'day.opened'),
  },
  {
    name: 'run.timeRatio',
    kind: 'quantity',
    unit: '1',
    meaning: 'time in the developer over the least that development-time-min asks for at its temperature',
    called: 'developing time and temperature',
    // The times of a run are judged by rules of their own, which say what it lacks.
    aside: true,
    fedBy: processed,
  },
  {
    name: 'run.rinse.time',
    kind: 'quantity',
    unit: 's',
    shown: 'clock',
    meaning: 'rinse between developer and fixer',
    fedBy: processed,
  },
  {
    name: 'run.fixer.time',
    kind: 'quantity',
    unit: 's',
    shown: 'clock',
    meaning: 'time in the fixer',
    fedBy: processedOr('film.refixed'),
  },
  {
    name: 'run.wash.time',
    kind: 'quantity',
    unit: 's',
    shown: 'clock',
    meaning: 'time in the wash',
    fedBy: processedOr('film.refixed'),
  },
  {
    name: 'run.temperatureGiven',
    kind: 'flag',
    meaning: 'the developer temperature is known for the run',
    called: 'run of films',
    fedBy: processed,
  },
  // A bath, by name, and the bath an event is about.
  {
    name: 'bath.name',
    kind: 'text',
    words: ['developer', 'fixer', 'wash'],
    meaning: 'the bath the event is about',
    called: 'name of the bath',
    fedBy: ['bath.measured', 'chemistry.changed', 'chemistry.replenished'],
  },
  {
    name: 'bath.temperature',
    kind: 'quantity',
    unit: 'Cel',
    shown: 'temperature',
    meaning: 'temperature just read in that bath',
    called: 'temperature of the bath',
    aside: true,
    fedBy: ['bath.measured'],
  },
  {
    name: 'bath.level',
    kind: 'text',
    words: ['full', 'low'],
    meaning: 'level just seen in that bath',
    called: 'level of the bath',
    aside: true,
    fedBy: ['bath.measured'],
  },
  {
    name: 'developer.temperature',
    kind: 'quantity',
    unit: 'Cel',
    shown: 'temperature',
    meaning: 'developer of the line, last reading within four hours',
    called: 'developer temperature',
    aside: true,
    fedBy: ['bath.measured', 'day.opened'],
  },
  {
    name: 'fixer.temperature',
    kind: 'quantity',
    unit: 'Cel',
    shown: 'temperature',
    meaning: 'fixer of the line, last reading within four hours',
    called: 'fixer temperature',
    aside: true,
    fedBy: ['bath.measured'],
  },
  {
    name: 'wash.temperature',
    kind: 'quantity',
    unit: 'Cel',
    shown: 'temperature',
    meaning: 'wash of the line, last reading within four hours',
    called: 'wash temperature',
    aside: true,
    fedBy: ['bath.measured'],
  },
  {
    name: 'developer.age',
    kind: 'quantity',
    unit: 'd',
    shown: 'days',
    meaning: 'age of the developer fill in calendar days, the day of change is 0',
    called: 'last change of the developer',
    fedBy: ['chemistry.changed'],
  },
  {
    name: 'fixer.age',
    kind: 'quantity',
    unit: 'd',
    shown: 'days',
    meaning: 'age of the fixer fill in calendar days',
    called: 'last change of the fixer',
    fedBy: ['chemistry.changed'],
  },
  {
    name: 'chemistry.age',
    kind: 'quantity',
    unit: 'd',
    shown: 'days',
    meaning: 'age of a fill in calendar days, as limits of age bound it',
    called: 'last change of the chemistry',
    fedBy: ['chemistry.changed'],
  },
  {
    name: 'chemistry.since',
    kind: 'quantity',
    shown: 'date',
    meaning: 'when that fill was put in',
    called: 'last change of the chemistry',
    fedBy: ['chemistry.changed'],
  },
  {
    name: 'developer.films',
    kind: 'count',
    meaning: 'films through the developer since its change',
    called: 'last change of the developer',
    fedBy: ['chemistry.changed'],
  },
  {
    name: 'fixer.films',
    kind: 'count',
    meaning: 'films through the fixer since its change',
    called: 'last change of the fixer',
    fedBy: ['chemistry.changed'],
  },
  ...(['developer', 'fixer'] as const).map((bath): FactDefinition => ({
    name: `${bath}.area`,
    kind: 'quantity',
    unit: 'mm2',
    shown: 'area',
    meaning: `area of the films through the ${bath} since its change, of those whose size is known`,
    called: `last change of the ${bath}`,
    fedBy: ['chemistry.changed'],
  })),
  {
    name: 'developer.daysSinceReplenished',
    kind: 'count',
    meaning: 'finished site-days with films since the developer was replenished or changed',
    called: 'last change of the developer',
    fedBy: ['chemistry.changed'],
  },
  {
    name: 'developer.filmsSinceReplenished',
    kind: 'count',
    meaning: 'films of those days',
    called: 'last change of the developer',
    fedBy: ['chemistry.changed'],
  },
  {
    name: 'developer.lastReplenished',
    kind: 'quantity',
    shown: 'date',
    meaning: 'when the developer was last replenished',
    called: 'replenishing of the developer',
    fedBy: ['chemistry.replenished'],
  },
  // A change of chemistry.
  {
    name: 'change.kind',
    kind: 'text',
    words: ['standard', 'rapid'],
    meaning: 'chemistry put in',
    called: 'kind of chemistry',
    fedBy: ['chemistry.changed'],
  },
  {
    name: 'change.byKnown',
    kind: 'flag',
    meaning: 'the person who changed it is on record',
    called: 'change of chemistry',
    fedBy: ['chemistry.changed'],
  },
  {
    name: 'line.method',
    kind: 'text',
    words: ['manual', 'automatic', 'chairside'],
    meaning: 'how the line processes',
    called: 'way the line processes',
    fedBy: ['site.configured'],
  },
  {
    name: 'line.makersSheet',
    kind: 'flag',
    meaning: "a maker's time-temperature sheet is on file for the line",
    called: 'set-up of the line',
    fedBy: ['site.configured'],
  },
  {
    name: 'line.filmsToday',
    kind: 'count',
    meaning: 'films developed on the line this site-day',
    called: 'set-up of the line',
    fedBy: processed,
  },
  // The wedge strip.
  {
    name: 'wedge.steps',
    kind: 'count',
    meaning: 'steps between the strip and its reference film, without direction',
    called: 'steps between the strip and its reference film',
    fedBy: ['stepwedge.read'],
  },
  {
    name: 'wedge.direction',
    kind: 'text',
    words: ['lighter', 'darker', 'same'],
    meaning: 'which way the strip differs',
    called: 'steps between the strip and its reference film',
    fedBy: ['stepwedge.read'],
  },
  {
    name: 'wedge.density',
    kind: 'quantity',
    unit: '1',
    meaning: 'density of the middle step less that of the reference film; a fresh lot is crossed over first',
    called: 'densities of the strip and of its reference film',
    aside: true,
    fedBy: ['stepwedge.read'],
  },
  {
    name: 'wedge.baseFog',
    kind: 'quantity',
    unit: '1',
    meaning: 'base plus fog less that of the reference film',
    called: 'densities of the strip and of its reference film',
    aside: true,
    fedBy: ['stepwedge.read'],
  },
  {
    name: 'wedge.contrast',
    kind: 'quantity',
    unit: '1',
    meaning: 'density between two steps, chosen on the reference film, less that of the reference film',
    called: 'densities of the strip and of its reference film',
    aside: true,
    fedBy: ['stepwedge.read'],
  },
  {
    name: 'testfilm.kind',
    kind: 'text',
    words: ['unexposed', 'exposed', 'fresh', 'cleaning'],
    meaning: 'kind of test film',
    called: 'kind of test film',
    fedBy: ['testfilm.read'],
  },
  {
    name: 'testfilm.asExpected',
    kind: 'flag',
    meaning: 'the test film looked as it should',
    called: 'look of the test film',
    fedBy: ['testfilm.read'],
  },
  {
    name: 'fixer.clearingTimeKnown',
    kind: 'flag',
    meaning: 'a clearing time of this fixer fill is on record',
    called: 'set-up of the line',
    fedBy: ['fixer.cleared'],
  },
  {
    name: 'fixer.clearingTime',
    kind: 'quantity',
    unit: 's',
    shown: 'clock',
    meaning: 'time for an unexposed film to clear',
    called: 'clearing time of the fixer',
    fedBy: ['fixer.cleared'],
  },
  {
    name: 'fixer.clearingRatio',
    kind: 'quantity',
    unit: '1',
    meaning: 'clearing time over that of the fresh fixer',
    called: 'clearing time of the fixer',
    fedBy: ['fixer.cleared'],
  },
  // Darkroom.
  {
    name: 'darkroom.test',
    kind: 'text',
    words: ['lightTight', 'safelight'],
    meaning: 'which darkroom test',
    called: 'darkroom test',
    fedBy: ['darkroom.checked'],
  },
  {
    name: 'darkroom.outlineSeen',
    kind: 'flag',
    meaning: 'an outline of the coin shows on the film',
    called: 'outline of the coin',
    aside: true,
    fedBy: ['darkroom.checked'],
  },
  {
    name: 'darkroom.time',
    kind: 'quantity',
    unit: 's',
    shown: 'clock',
    meaning: 'how long the film lay out',
    called: 'time the film lay out',
    fedBy: ['darkroom.checked'],
  },
  {
    name: 'darkroom.densityIncrease',
    kind: 'quantity',
    unit: '1',
    meaning: 'density added to the uncovered half',
    called: 'added density',
    aside: true,
    fedBy: ['darkroom.checked'],
  },
  // By test, so that a check of one test is not evaluable on the other: a pass of one never clears the other's fail.
  {
    name: 'darkroom.lightTight.outlineSeen',
    kind: 'flag',
    meaning: 'test with all lights off: an outline of the coin shows',
    called: 'outline of the coin with all lights off',
    aside: true,
    fedBy: ['darkroom.checked'],
  },
  {
    name: 'darkroom.lightTight.densityIncrease',
    kind: 'quantity',
    unit: '1',
    meaning: 'test with all lights off: density added to the uncovered half',
    called: 'added density with all lights off',
    aside: true,
    fedBy: ['darkroom.checked'],
  },
  {
    name: 'darkroom.safelight.outlineSeen',
    kind: 'flag',
    meaning: 'test under the safelight: an outline of the coin shows',
    called: 'outline of the coin under the safelight',
    aside: true,
    fedBy: ['darkroom.checked'],
  },
  {
    name: 'darkroom.safelight.densityIncrease',
    kind: 'quantity',
    unit: '1',
    meaning: 'test under the safelight: density added to the uncovered half',
    called: 'added density under the safelight',
    aside: true,
    fedBy: ['darkroom.checked'],
  },
  // Film stock.
  {
    name: 'lot.name',
    kind: 'text',
    meaning: 'the lot the event is about',
    called: 'lot of the film',
    fedBy: ['film.exposed', 'filmstock.opened', 'filmstock.received', 'filmstock.stored'],
  },
  {
    name: 'lot.expired',
    kind: 'flag',
    meaning: 'the lot is past its date (a month is good through its last day)',
    called: 'date on the box of film',
    fedBy: ['filmstock.received', 'filmstock.opened'],
  },
  {
    name: 'storage.temperature',
    kind: 'quantity',
    unit: 'Cel',
    shown: 'temperature',
    meaning: 'temperature where film is stored',
    aside: true,
    fedBy: ['filmstock.stored', 'filmstock.received'],
  },
  {
    name: 'storage.humidity',
    kind: 'quantity',
    unit: '%',
    meaning: 'relative humidity where film is stored',
    aside: true,
    fedBy: ['filmstock.stored', 'filmstock.received'],
  },
  // Instruments.
  {
    name: 'instrument.name',
    kind: 'text',
    meaning: 'the instrument the event is about',
    called: 'name of the instrument',
    fedBy: ['instrument.checked', 'bath.measured'],
  },
  {
    name: 'instrument.kind',
    kind: 'text',
    words: ['thermometer', 'timer', 'densitometer'],
    meaning: 'kind of instrument',
    fedBy: ['instrument.checked'],
  },
  {
    name: 'instrument.temperatureError',
    kind: 'quantity',
    unit: 'K',
    shown: 'temperatureDifference',
    meaning: 'thermometer: reading against reference, without sign',
    called: 'check of the thermometer',
    fedBy: ['instrument.checked'],
  },
  {
    name: 'instrument.timeError',
    kind: 'quantity',
    unit: '%',
    meaning: 'timer: reading against reference in percent, without sign',
    called: 'check of the timer',
    fedBy: ['instrument.checked'],
  },
  {
    name: 'instrument.densityError',
    kind: 'quantity',
    unit: '1',
    meaning: 'densitometer: reading against reference, without sign',
    called: 'check of the densitometer',
    fedBy: ['instrument.checked'],
  },
  // Opening round.
  {
    name: 'opening.water',
    kind: 'flag',
    meaning: 'wash water runs',
    called: 'look at the wash water',
    aside: true,
    fedBy: ['day.opened'],
  },
  {
    name: 'opening.levels',
    kind: 'flag',
    meaning: 'baths are at their levels',
    called: 'look at the levels',
    aside: true,
    fedBy: ['day.opened'],
  },
  {
    name: 'opening.stirred',
    kind: 'flag',
    meaning: 'baths were stirred',
    called: 'word on stirring',
    aside: true,
    fedBy: ['day.opened'],
  },
  // What a duty owes, for its message.
  {
    name: 'duty.afterClosure',
    kind: 'flag',
    meaning: 'the duty fell due while nobody worked',
    fedBy: ['site.closed', 'site.configured'],
  },
  {
    name: 'duty.count',
    kind: 'count',
    meaning: 'films or follow-ups owed',
    fedBy: ['film.processed', 'chemistry.changed'],
  },
  // Exposure.
  {
    name: 'exposure.filmSpeed',
    kind: 'text',
    words: ['D', 'E', 'F'],
    meaning: 'speed group of the film',
    called: 'speed of the film',
    fedBy: ['film.exposed'],
  },
  {
    name: 'exposure.retake',
    kind: 'flag',
    meaning: 'the film repeats another',
    called: 'exposure',
    fedBy: ['film.exposed'],
  },
  // Where the office has no technique chart in force, an exposure lacks nothing.
  ...(
    [
      ['exposure.time', 's', 'time of an exposure that the technique chart has a row for'],
      ['exposure.expectedTime', 's', 'time that the technique chart asks for at the voltage and current used'],
      ['exposure.ratio', '1', 'exposure given over that of the technique chart'],
    ] as const
  ).map(([name, unit, meaning]): FactDefinition => ({
    ...{ name, kind: 'quantity', unit, meaning, called: 'technique chart', aside: true, fedBy: ['film.exposed'] },
  })),
  {
    name: 'strips.lighter',
    kind: 'flag',
    meaning: 'the latest strip of some line, of the last two weeks, is lighter than its reference film',
    called: 'strips of the last two weeks',
    aside: true,
    fedBy: ['stepwedge.read'],
  },
  // The film that is looked at, by its own exposure and run; and what the line of its run last showed.
  ...filmFacts,
  ...followedFacts,
];

export const facts: ReadonlyMap<string, FactDefinition> = new Map(list.map((fact) => [fact.name, fact]));
