import { facts } from './facts.js';

/**
 * How each fact of the catalogue comes to be known: the event that supplies it, in which fields, and with which words in
 * others. What a person is told to send when a check lacks the fact; a test sends exactly that, and the fact is there.
 */
export interface Supply {
  readonly event: string;
  /** Fields that must have a certain value for this fact: `{ bath: 'developer' }`. */
  readonly with?: Readonly<Record<string, string>>;
  /** Fields, by dotted name, that must be there beside those which such an event always has. */
  readonly fields?: readonly string[];
  /** What must be on record or in force already. */
  readonly once?: string;
  /** It gives a fact that is kept otherwise, but itself only for its own event. */
  readonly forItself?: true;
}

/** How long a bath's reading is good (law L17b). */
export const freshFor = { ms: 4 * 3_600_000, text: '4 h' } as const;

/** Facts that a reading of a bath gives as long as it is fresh, with the bath. */
export const freshFacts: ReadonlyMap<string, string> = new Map([
  ['run.developer.temperature', 'developer'],
  ['developer.temperature', 'developer'],
  ['fixer.temperature', 'fixer'],
  ['wash.temperature', 'wash'],
]);

/**
 * Facts that stay known after their event: a check may read them at any event that names the line (or the lot). Every
 * other fact is read at the events that supply it, and at no other.
 */
export const keptFacts: ReadonlySet<string> = new Set([
  ...freshFacts.keys(),
  ...[
    'developer.age',
    'fixer.age',
    'chemistry.age',
    'chemistry.since',
    'developer.films',
    'fixer.films',
    'developer.area',
    'fixer.area',
  ],
  ...['developer.daysSinceReplenished', 'developer.filmsSinceReplenished', 'developer.lastReplenished'],
  ...['line.method', 'line.makersSheet', 'line.filmsToday'],
  'strips.lighter',
  ...['line.lastStrip', 'line.lastStripTells', 'line.coinSeenInTheDark', 'line.coinSeenUnderSafelight'],
  ...['line.unexposedFilmAsExpected', 'line.exposedFilmAsExpected'],
  'line.daysSinceRollers',
  ...['fixer.clearingTimeKnown', 'fixer.clearingTime', 'fixer.clearingRatio', 'lot.expired'],
]);

/** Facts that only a duty has, for its message: no check could ever be judged by them. */
export const dutyFacts: ReadonlySet<string> = new Set(['duty.afterClosure', 'duty.count']);

const run = (...fields: string[]): Supply => ({ event: 'film.processed', fields });
const refixed = (...fields: string[]): Supply => ({ event: 'film.refixed', fields });
const measured = (bath: string): Supply => ({ event: 'bath.measured', with: { bath }, fields: ['temperature'] });
const changed = (bath?: string, ...fields: string[]): Supply => ({
  event: 'chemistry.changed',
  ...(bath === undefined ? {} : { with: { bath } }),
  fields,
});
const round = (...fields: string[]): Supply => ({ event: 'day.opened', fields });
const darkroom = (field: string, test?: string): Supply => ({
  event: 'darkroom.checked',
  ...(test === undefined ? {} : { with: { test } }),
  fields: [field],
});
const beside: Supply = {
  event: 'stepwedge.read',
  fields: ['densities'],
  once: 'the densities of the reference film are on record',
};
const againstChart: Supply = {
  event: 'film.exposed',
  fields: ['view', 'filmSpeed', 'tubeVoltage', 'tubeCurrent', 'time'],
  once: 'a technique chart is in force for the unit',
};
const checked = (kind: string): Supply => ({ event: 'instrument.checked', with: { kind } });

/** Only where the event alone does not do: fields, and words in them. */
const particular: Readonly<Record<string, readonly Supply[]>> = {
  'run.films': [run('count'), refixed('count')],
  'run.endpoint': [run('endpoint')],
  'run.developer.time': [run('developer.time')],
  'run.developer.temperature': [
    { ...run('developer.temperature'), forItself: true },
    measured('developer'),
    round('line', 'temperature'),
  ],
  'run.rinse.time': [run('rinse.time')],
  'run.fixer.time': [run('fixer.time'), refixed('fixer.time')],
  'run.wash.time': [run('wash.time'), refixed('wash.time')],
  'bath.temperature': [{ event: 'bath.measured', fields: ['temperature'] }],
  'bath.level': [{ event: 'bath.measured', fields: ['level'] }],
  'developer.temperature': [measured('developer'), round('line', 'temperature')],
  'fixer.temperature': [measured('fixer')],
  'wash.temperature': [measured('wash')],
  'developer.age': [changed('developer')],
  'fixer.age': [changed('fixer')],
  'developer.films': [changed('developer')],
  'fixer.films': [changed('fixer')],
  'developer.area': [changed('developer')],
  'fixer.area': [changed('fixer')],
  'developer.daysSinceReplenished': [changed('developer')],
  'developer.filmsSinceReplenished': [changed('developer')],
  'developer.lastReplenished': [{ event: 'chemistry.replenished', with: { bath: 'developer', with: 'replenisher' } }],
  'wedge.steps': [{ event: 'stepwedge.read', fields: ['difference'] }],
  'wedge.direction': [{ event: 'stepwedge.read', fields: ['difference'] }],
  'rate.films': [{ event: 'film.reviewed', fields: ['film', 'grade'] }, { event: 'films.tallied' }],
  'wedge.density': [beside],
  'wedge.baseFog': [beside],
  'wedge.contrast': [beside],
  'run.timeRatio': [
    { ...run('developer.time', 'developer.temperature'), once: 'a chart of developing times is in force for the line' },
  ],
  'darkroom.outlineSeen': [darkroom('outlineSeen')],
  'darkroom.time': [darkroom('time')],
  'darkroom.densityIncrease': [darkroom('densityIncrease')],
  'darkroom.lightTight.outlineSeen': [darkroom('outlineSeen', 'lightTight')],
  'darkroom.lightTight.densityIncrease': [darkroom('densityIncrease', 'lightTight')],
  'darkroom.safelight.outlineSeen': [darkroom('outlineSeen', 'safelight')],
  'darkroom.safelight.densityIncrease': [darkroom('densityIncrease', 'safelight')],
  'lot.name': [{ event: 'film.exposed', fields: ['lot'] }, { event: 'filmstock.opened' }],
  'lot.expired': [
    { event: 'filmstock.received', fields: ['expires'] },
    { event: 'filmstock.opened', fields: ['expires'] },
  ],
  'storage.temperature': [
    { event: 'filmstock.stored', fields: ['temperature'] },
    { event: 'filmstock.received', fields: ['temperature'] },
  ],
  'storage.humidity': [
    { event: 'filmstock.stored', fields: ['humidity'] },
    { event: 'filmstock.received', fields: ['humidity'] },
  ],
  'instrument.name': [{ event: 'instrument.checked' }, { event: 'bath.measured', fields: ['instrument'] }],
  'instrument.temperatureError': [checked('thermometer')],
  'instrument.timeError': [checked('timer')],
  'instrument.densityError': [checked('densitometer')],
  'opening.water': [round('water')],
  'opening.levels': [round('levels')],
  'opening.stirred': [round('stirred')],
  ...Object.fromEntries(
    ['exposure.time', 'exposure.expectedTime', 'exposure.ratio'].map((name) => [name, [againstChart]]),
  ),
  'film.grade': [{ event: 'film.reviewed', fields: ['grade'] }],
  ...Object.fromEntries(
    ['causes.leading', 'causes.told', 'causes.first', 'causes.because', 'causes.act', 'causes.salvage'].map((name) => [
      name,
      [{ event: 'film.reviewed', fields: ['signs'], once: 'packs that know causes of its signs are in force' }],
    ]),
  ),
  'film.extent': [{ event: 'film.reviewed', fields: ['extent'] }],
  ...Object.fromEntries(
    (
      [
        ['film.developer.temperature', 'its run was told with its films and a temperature'],
        ['film.timeRatio', 'its run was told with its films, time and temperature'],
        ['film.exposureRatio', 'its exposure was told and a technique chart is in force for it'],
        ...(
          [
            ['aboveReference', 'its run was told with its films and a temperature, and the reference film too'],
            ['age', 'its run was told with its films and the developer is on record'],
            ['films', 'its run was told with its films and the developer is on record'],
            ['time', 'its run was told with its films and its time'],
            ['timeAsked', 'its run was told with its films, time and temperature'],
          ] as const
        ).map(([name, when]) => [`film.developer.${name}`, when] as const),
        ['film.rinse.time', 'its run was told with its films and its rinse'],
        ['film.fixer.time', 'its run was told with its films and its fixing'],
        ['film.fixer.age', 'its run was told with its films and the fixer is on record'],
        ['film.fixer.films', 'its run was told with its films and the fixer is on record'],
        ['film.fixer.clearingRatio', 'its run was told with its films and clearing times of the fixer are on record'],
        ['film.wash.time', 'its run was told with its films and its wash'],
        ['film.daysIdle', 'its run was told with its films'],
        ['alike.unitChance', 'films that show it were exposed with their unit'],
        ['alike.personChance', 'films that show it were exposed with by'],
        ['alike.handsChance', 'films that show it were developed with by'],
        ['alike.lotChance', 'films that show it were exposed with their lot'],
        ['alike.lineChance', 'films that show it were developed with their ids'],
        ['alike.hourChance', 'films that show it were developed with their ids'],
        ['alike.unitIsPerson', 'films that show it were exposed with unit and by'],
        ['alike.lotIsLine', 'films that show it were exposed with lot and line'],
        ['alike.told', 'two films show it'],
        ['alike.inRun', 'its run was told with its films'],
        ['alike.notInRun', 'its run was told with its films'],
        ['film.holder', 'its exposure was told with holder'],
        ['film.lotExpired', 'its exposure was told with its lot, whose date is on record'],
      ] as const
    ).map(([name, once]) => [name, [{ event: 'film.reviewed', fields: ['film'], once }]]),
  ),
  'line.lastStrip': [{ event: 'stepwedge.read', fields: ['difference'] }],
  'line.lastStripTells': [{ event: 'stepwedge.read', fields: ['difference'] }],
  'line.unexposedFilmAsExpected': [{ event: 'testfilm.read', with: { kind: 'unexposed' } }],
  'line.exposedFilmAsExpected': [{ event: 'testfilm.read', with: { kind: 'exposed' } }],
  'line.coinSeenInTheDark': [darkroom('outlineSeen', 'lightTight')],
  'line.coinSeenUnderSafelight': [darkroom('outlineSeen', 'safelight')],
  'line.daysSinceRollers': [{ event: 'equipment.cleaned', with: { part: 'rollers' } }],
  'strips.lighter': [{ event: 'stepwedge.read', fields: ['difference'] }],
  'exposure.filmSpeed': [{ event: 'film.exposed', fields: ['filmSpeed'] }],
};

/** What would supply a fact; a name that is none, nothing. */
export function suppliesOf(fact: string): readonly Supply[] {
  const own = Object.hasOwn(particular, fact) ? particular[fact] : undefined;
  return own ?? (facts.get(fact)?.fedBy ?? []).map((event) => ({ event }));
}

/** The same for a check on these event types: what comes with an event that it does not listen to is of no use to it. */
export function suppliesFor(fact: string, on: readonly string[]): readonly Supply[] {
  return suppliesOf(fact).filter(
    ({ event, forItself }) => on.includes(event) || (keptFacts.has(fact) && forItself !== true),
  );
}

/** "bath.measured with temperature, of the developer", as a person is told what to send. */
export function saySupply({ event, with: words = {}, fields = [], once }: Supply): string {
  const own = fields.filter((field) => field !== 'line');
  const given = Object.entries(words).map(([field, word]) => `${field} ${word}`);
  const all = [...given, ...own];
  const said = all.length === 0 ? event : `${event} with ${all.join(' and ')}`;
  return once === undefined ? said : `${said}, once ${once}`;
}
