import type { Moment } from '../moment.js';
import { densitiesFromReference } from '../strip-densities.js';
import { stripDifference } from '../wedge.js';
import { wordIn } from '../refs.js';
import { clearingRatio } from './baths.js';
import type { FactReader } from './reader.js';

function wedge({ event, line }: Moment) {
  return event?.type === 'stepwedge.read' ? stripDifference(line, event.data) : undefined;
}
function densities({ event, line }: Moment) {
  return event?.type === 'stepwedge.read' ? densitiesFromReference(line, event.data) : undefined;
}
function testFilm(moment: Moment) {
  return moment.event?.type === 'testfilm.read' ? moment.event.data : undefined;
}
function darkroom(moment: Moment) {
  return moment.event?.type === 'darkroom.checked' ? moment.event.data : undefined;
}
/** One of the two darkroom tests; the facts of the other are missing on it. */
function darkroomTest(moment: Moment, test: 'lightTight' | 'safelight') {
  const checked = darkroom(moment);
  return checked?.test === test ? checked : undefined;
}
function opening(moment: Moment) {
  return moment.event?.type === 'day.opened' ? moment.event.data : undefined;
}
/** Reading against reference of one kind of instrument, without sign. */
function error(moment: Moment, kind: string, of: (reading: number, reference: number) => number): number | undefined {
  if (moment.event?.type !== 'instrument.checked' || moment.event.data.kind !== kind) return undefined;
  return Math.abs(of(moment.event.data.reading, moment.event.data.reference));
}
const difference = (reading: number, reference: number) => reading - reference;

export const testFacts: Record<string, FactReader> = {
  'wedge.steps': (moment) => wedge(moment)?.steps,
  'wedge.direction': (moment) => wedge(moment)?.direction,
  'wedge.density': (moment) => densities(moment)?.density,
  'wedge.baseFog': (moment) => densities(moment)?.baseFog,
  'wedge.contrast': (moment) => densities(moment)?.contrast,
  'testfilm.kind': (moment) => testFilm(moment)?.kind,
  'testfilm.asExpected': (moment) => testFilm(moment)?.asExpected,
  'fixer.clearingTimeKnown': (moment) =>
    moment.line === undefined ? undefined : moment.line.fixerClearing?.latest !== undefined,
  'fixer.clearingTime': (moment) => moment.line?.fixerClearing?.latest,
  'fixer.clearingRatio': ({ line }) => line && clearingRatio(line),
  'darkroom.test': (moment) => darkroom(moment)?.test,
  'darkroom.outlineSeen': (moment) => darkroom(moment)?.outlineSeen,
  'darkroom.time': (moment) => darkroom(moment)?.time,
  'darkroom.densityIncrease': (moment) => darkroom(moment)?.densityIncrease,
  'darkroom.lightTight.outlineSeen': (moment) => darkroomTest(moment, 'lightTight')?.outlineSeen,
  'darkroom.lightTight.densityIncrease': (moment) => darkroomTest(moment, 'lightTight')?.densityIncrease,
  'darkroom.safelight.outlineSeen': (moment) => darkroomTest(moment, 'safelight')?.outlineSeen,
  'darkroom.safelight.densityIncrease': (moment) => darkroomTest(moment, 'safelight')?.densityIncrease,
  'instrument.name': (moment) => moment.event && wordIn(moment.event, 'instrument'),
  'instrument.kind': (moment) => (moment.event?.type === 'instrument.checked' ? moment.event.data.kind : undefined),
  'instrument.temperatureError': (moment) => error(moment, 'thermometer', difference),
  'instrument.timeError': (moment) =>
    error(moment, 'timer', (reading, reference) => (reference === 0 ? NaN : (100 * (reading - reference)) / reference)),
  'instrument.densityError': (moment) => error(moment, 'densitometer', difference),
  'opening.water': (moment) => opening(moment)?.water,
  'opening.levels': (moment) => opening(moment)?.levels,
  'opening.stirred': (moment) => opening(moment)?.stirred,
};
