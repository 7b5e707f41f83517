/**
 * The measures: numbers that the engine keeps over time, the latest readings of each, so that a trend can be told before a
 * limit is crossed. Each is a fact of the catalogue and has its name; it is read at the events that bring it anew.
 */
export interface Measure {
  /** Name of the fact. */
  readonly fact: string;
  /** What a reading belongs to. */
  readonly per: 'line' | 'tube';
  /** Events at which it is read. */
  readonly on: readonly string[];
  /** Whose fresh filling makes a drift begin anew; its reference stays (law L16). */
  readonly bath?: 'developer' | 'fixer';
  /** It is a difference from the reference film of the line: with another film it begins anew. */
  readonly isFromReference?: true;
  /** Limits that the fact itself is reckoned from. */
  readonly limits?: readonly string[];
  readonly title: string;
}

const list: readonly Measure[] = [
  {
    fact: 'wedge.density',
    per: 'line',
    on: ['stepwedge.read'],
    bath: 'developer',
    isFromReference: true,
    title: 'Middle step of the strip against the reference film, in density',
  },
  {
    fact: 'wedge.baseFog',
    per: 'line',
    on: ['stepwedge.read'],
    bath: 'developer',
    isFromReference: true,
    title: 'Base plus fog of the strip against the reference film, in density',
  },
  {
    fact: 'wedge.contrast',
    per: 'line',
    on: ['stepwedge.read'],
    bath: 'developer',
    isFromReference: true,
    title: 'Density between two steps of the strip against the reference film',
  },
  {
    fact: 'fixer.clearingTime',
    per: 'line',
    on: ['fixer.cleared'],
    bath: 'fixer',
    title: 'Time for an unexposed film to clear in the fixer',
  },
  {
    fact: 'fixer.clearingRatio',
    per: 'line',
    on: ['fixer.cleared'],
    bath: 'fixer',
    title: 'Clearing time over that of the fresh fixer',
  },
  {
    fact: 'developer.temperature',
    per: 'line',
    on: ['bath.measured', 'day.opened'],
    title: 'Temperature of the developer',
  },
  {
    fact: 'run.timeRatio',
    per: 'line',
    on: ['film.processed'],
    limits: ['development-time-min'],
    title: 'Developing time over the least that its temperature asks for',
  },
  {
    fact: 'exposure.ratio',
    per: 'tube',
    on: ['film.exposed'],
    title: 'Exposure given over that of the technique chart',
  },
];

export const measures: ReadonlyMap<string, Measure> = new Map(list.map((measure) => [measure.fact, measure]));

/** By event type: which measures an event may bring a reading of. */
export const measuresOn: ReadonlyMap<string, readonly Measure[]> = new Map(
  [...new Set(list.flatMap(({ on }) => on))].map((type) => [type, list.filter(({ on }) => on.includes(type))]),
);

/** Every event that brings a reading of some measure. */
export const measuredOn: readonly string[] = [...measuresOn.keys()];

/** Readings of a measure that the fold keeps for each line or unit, and site-days whose films it counts. */
export const kept = { readings: 40, days: 31 } as const;
