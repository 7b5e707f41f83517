import type { TubeState } from '../../../engine/state.js';
import { expectedOf, type Expected } from '../../../engine/technique.js';
import { pulsesOfSeconds, secondsOfPulses, type MainsFrequency } from '../../../radiography/exposure/charge.js';
import { convert, type Setting } from '../../../radiography/exposure/conversion.js';
import { exposureRatio } from '../../../radiography/exposure/ratio.js';
import { isRefusal, type Answer } from '../../../refusal.js';
import { caution } from '../../caution.js';
import { operation } from '../../operation.js';
import { exposureAnswer, exposureBody, exposureExample, type ExposureBody } from '../../schemas/exposure.js';
import { rfc3339 } from '../../time.js';
import { expectedView, stepsView, tellGiven } from '../../views/exposure.js';
import { estimateOf } from './estimate.js';
import { groundOf, inUse, invalid, known as knownThing, type Standing } from './place.js';
import { answered, reduced, tidy } from './reckoned.js';

type Sent = { readonly value: number; readonly unit: string };

export const consultExposure = operation({
  id: 'consultExposure',
  method: 'post',
  path: '/v1/consult/exposure',
  tag: 'Questions',
  summary: 'The exposure time for another film, distance, voltage or current, and an estimate of the dose',
  description:
    'Goes from a known exposure that gives a good film (or the row of the technique chart for a `view`) to the wanted one, ' +
    'step by step, each with its factor, its rule by name and its source. With `given` it says how far an exposure that ' +
    'was made is from that; with `output` it estimates the dose at the end of the cone and says what the estimate leaves ' +
    'out. Stores nothing.',
  access: 'findings:read',
  body: { kind: 'json', required: true, schema: exposureBody, example: exposureExample },
  answers: {
    200: { description: 'The answer.', content: { 'application/json': { schema: exposureAnswer } } },
  },
  problems: ['invalid-json', 'invalid-body', 'unsupported-media-type', 'unknown-site'],
  async handle({ key, body, services }) {
    const ground = await groundOf(services, key, body, {});
    const tube = tubeOf(ground, body);
    const expected = expectedFor(ground, body);
    const rules = { voltage: body.voltageRule ?? '15-kVp', speed: body.speedSource ?? 'published-reductions' } as const;
    const from = knownOf(body, expected, tube);
    const to = settingOf(body.wanted ?? {}, '/wanted');
    comparable(from, to);
    const found = answered(convert(from, to, rules));
    const setting = { voltage: to.voltage ?? from.voltage, current: to.current ?? from.current };
    const ratio = body.given && answered(ratioOf(body, body.given, { ...setting, time: found.time }, rules.voltage));
    return {
      status: 200,
      body: tidy({
        at: rfc3339(ground.at),
        caution,
        ...{ site: body.site, tube: body.tube, expected: expected && expectedView(expected, body.view ?? '') },
        ...{ time: found.time, charge: found.charge, pulses: pulsesFor(body, found.time) },
        steps: stepsView(found.steps, { from, to, rules, cones: [body.known?.cone, body.wanted?.cone] }),
        given: ratio === undefined ? undefined : { ratio, text: tellGiven(ratio) },
        estimate: estimateOf(body, { ...setting, charge: found.charge }, tube, ground.state),
      }),
    };
  },
});

/** @throws Problem that names the unit meant */
function tubeOf({ state }: Standing, { site, tube }: ExposureBody): TubeState | undefined {
  if (tube === undefined) return undefined;
  if (site === undefined) throw invalid('/tube', 'combination', 'needs site: a unit belongs to one');
  return knownThing(inUse(state.tubes), tube, '/tube');
}

/** The row of the technique chart for the view that was named. @throws Problem */
function expectedFor({ state, book, at }: Standing, body: ExposureBody): Expected | undefined {
  const { view, patientSize, tube = '', known, wanted } = body;
  if (view === undefined || state.site === null) return undefined;
  const rules = book.at(at, state.site);
  // A chart for the wanted film answers outright; one for another is gone on from.
  const speeds = known?.filmSpeed === undefined ? [wanted?.filmSpeed, 'F', 'E', 'D'] : [known.filmSpeed];
  for (const filmSpeed of speeds) {
    const found = expectedOf({ rules, state }, { tube, view, patientSize, filmSpeed });
    if (found !== undefined) return found;
  }
  // Given in full, the known exposure needs no chart.
  if (known?.time !== undefined || known?.pulses !== undefined) return undefined;
  const allowed = [...new Set(rules.techniques.flatMap(({ rows }) => rows.flatMap(({ views }) => views)))].sort();
  const here =
    allowed.length === 0 ? 'no technique chart is in force here' : 'no technique chart in force has a row for it';
  throw invalid('/view', 'not-allowed', `cannot be answered: ${here}`, { allowed });
}

/** The exposure to begin with: as told, else of the chart, else as the unit is set up. @throws Problem */
function knownOf(body: ExposureBody, expected: Expected | undefined, tube: TubeState | undefined) {
  const told = settingOf(body.known ?? {}, '/known');
  const chart = expected?.technique;
  const voltage = told.voltage ?? chart?.tubeVoltage ?? tube?.config.tubeVoltage;
  const current = told.current ?? chart?.tubeCurrent ?? tube?.config.tubeCurrent;
  const time = timeOf(body.known ?? {}, body, '/known') ?? expected?.row.time;
  const missing = { tubeVoltage: voltage, tubeCurrent: current, time };
  for (const [field, value] of Object.entries(missing))
    if (value === undefined)
      throw invalid(`/known/${field}`, 'missing', 'is required: no technique chart and no set-up tells it');
  const filmSpeed = told.filmSpeed ?? (chart?.filmSpeed as Setting['filmSpeed']);
  return { ...told, voltage: voltage ?? 0, current: current ?? 0, time: time ?? 0, filmSpeed };
}

type SentSetting = NonNullable<ExposureBody['wanted']>;

/** @throws Problem for a distance told twice */
function settingOf({ tubeVoltage, tubeCurrent, filmSpeed, distance, cone }: SentSetting, at: string): Partial<Setting> {
  if (distance !== undefined && cone !== undefined)
    throw invalid(`${at}/cone`, 'combination', 'does not go with distance: one of the two');
  const behind = cone && reduced(cone.length) + reduced(cone.behind);
  return {
    voltage: tubeVoltage && reduced(tubeVoltage),
    current: tubeCurrent && reduced(tubeCurrent),
    distance: distance === undefined ? behind : reduced(distance),
    filmSpeed,
  };
}

/** A distance or a speed that is wanted must be known too. @throws Problem */
function comparable(from: Partial<Setting>, to: Partial<Setting>): void {
  for (const field of ['distance', 'filmSpeed'] as const)
    if (to[field] !== undefined && from[field] === undefined)
      throw invalid(`/known/${field}`, 'missing', `is required where ${field} is wanted: a factor is of two`);
}

interface Timed {
  readonly time?: Sent | undefined;
  readonly pulses?: number | undefined;
}

/** s. @throws Problem */
function timeOf({ time, pulses }: Timed, { mains, pulsesPerPeriod }: ExposureBody, at: string): number | undefined {
  if (pulses === undefined) return time && reduced(time);
  if (time !== undefined) throw invalid(`${at}/pulses`, 'combination', 'does not go with time: one of the two');
  if (mains === undefined) throw invalid('/mains', 'missing', 'is required where times are told in pulses: 50 or 60');
  return answered(secondsOfPulses(pulses, mains satisfies MainsFrequency, pulsesPerPeriod));
}

function ratioOf(
  body: ExposureBody,
  given: NonNullable<ExposureBody['given']>,
  aim: { readonly voltage: number; readonly current: number; readonly time: number },
  rule: Parameters<typeof exposureRatio>[2],
): Answer<number> {
  const time = timeOf(given, body, '/given');
  if (time === undefined) throw invalid('/given/time', 'missing', 'is required, or pulses');
  const voltage = given.tubeVoltage === undefined ? aim.voltage : reduced(given.tubeVoltage);
  const current = given.tubeCurrent === undefined ? aim.current : reduced(given.tubeCurrent);
  const ratio = exposureRatio({ voltage, current, time }, aim, rule);
  return isRefusal(ratio) ? { ...ratio, of: `given.${ratio.of === 'to' ? 'voltage' : ratio.of}` } : ratio;
}

function pulsesFor({ mains, pulsesPerPeriod }: ExposureBody, time: number) {
  const found = mains && pulsesOfSeconds(time, mains, pulsesPerPeriod);
  return found === undefined || isRefusal(found) ? undefined : found;
}
