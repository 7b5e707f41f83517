import type * as z from 'zod';
import { densityDifference, tellsOf } from '../../../radiography/sensitometry/comparison.js';
import { averageGradient, fitCurve, speedPoint } from '../../../radiography/sensitometry/curve.js';
import { netDensities } from '../../../radiography/sensitometry/density.js';
import { fogState, isSteepEnough } from '../../../radiography/sensitometry/film-standard.js';
import { isoSpeed, speedGroup } from '../../../radiography/sensitometry/speed.js';
import { mostSteps, stepDifference } from '../../../radiography/sensitometry/steps.js';
import { isRefusal, type Answer } from '../../../refusal.js';
import { caution } from '../../caution.js';
import { operation } from '../../operation.js';
import { stripAnswer, stripBody, stripExample } from '../../schemas/strip.js';
import { rfc3339 } from '../../time.js';
import { tellStrip } from '../../views/strip.js';
import { groundOf, inUse, invalid, known, type Standing } from './place.js';
import { answered, reduced, tidy } from './reckoned.js';

type Body = z.output<typeof stripBody>;

export const consultStrip = operation({
  id: 'consultStrip',
  method: 'post',
  path: '/v1/consult/strip',
  tag: 'Questions',
  summary: 'What the densities of a strip say: net densities, the curve, and how it stands to the reference film',
  description:
    'Holds a strip against a reference film (given, or that of a line on record) in density and in steps. With the ' +
    'exposure of each step it fits the characteristic curve; with its air kerma it gives the speed of the film. Stores ' +
    'nothing: `stepwedge.read` does.',
  access: 'findings:read',
  body: { kind: 'json', required: true, schema: stripBody, example: stripExample },
  answers: { 200: { description: 'The answer.', content: { 'application/json': { schema: stripAnswer } } } },
  problems: ['invalid-json', 'invalid-body', 'unsupported-media-type', 'unknown-site'],
  async handle({ key, body, services }) {
    const ground = await groundOf(services, key, body, {});
    const { densities, batch, site, line } = body;
    const net = answered(named('densities', netDensities(densities)));
    const fog = answered(fogState(densities[0] ?? NaN));
    const difference = differenceOf(densities, referenceOf(ground, body));
    const curve = curveOf(body);
    const answer = tidy({ net: [...net], fog, tells: tellsOf({ batch }), difference, curve });
    return { status: 200, body: { at: rfc3339(ground.at), caution, site, line, ...answer, text: tellStrip(answer) } };
  },
});

/** The reference film: as told, else that of the line. @throws Problem */
function referenceOf({ state }: Standing, { site, line, reference, densities }: Body): readonly number[] | undefined {
  if (line !== undefined && site === undefined)
    throw invalid('/line', 'combination', 'needs site: a line belongs to one');
  const own = line === undefined ? undefined : known(inUse(state.lines), line, '/line').reference?.densities;
  const film = reference ?? own;
  if (film === undefined || film.length === densities.length) return film;
  throw invalid(
    '/densities',
    'length',
    `must be ${film.length}, as many as the reference film has with base plus fog first`,
  );
}

function differenceOf(densities: readonly number[], reference: readonly number[] | undefined) {
  if (reference === undefined) return undefined;
  answered(named('reference', netDensities(reference)));
  const difference = densityDifference(densities, reference);
  const steps = stepDifference(densities, reference);
  return difference && steps && { ...difference, ...steps, many: steps.steps > mostSteps };
}

/** @throws Problem of the field that is to blame */
function curveOf({ densities, exposure, kerma }: Body) {
  if (exposure !== undefined && kerma !== undefined)
    throw invalid('/kerma', 'combination', 'does not go with exposure: one of the two');
  const field = kerma === undefined ? 'exposure' : 'kerma';
  const exposures = kerma?.map(reduced) ?? exposure;
  if (exposures === undefined) return undefined;
  const [baseFog = NaN, ...steps] = densities;
  if (exposures.length !== steps.length)
    throw invalid(`/${field}`, 'length', `must have ${steps.length} values, one for each step without base plus fog`);
  const points = steps.map((density, index) => ({ exposure: exposures[index] ?? NaN, density }));
  const curve = answered(named(field, fitCurve(baseFog, points)));
  const { most, middle, steepness, residual } = curve;
  const at = found(speedPoint(curve));
  const gradient = found(averageGradient(curve));
  const speed = kerma === undefined || at === undefined ? undefined : found(isoSpeed(at));
  return {
    ...{ most, middle, steepness, residual, speedPoint: at, averageGradient: gradient },
    steepEnough: gradient === undefined ? undefined : found(isSteepEnough(gradient)),
    ...{ speed, group: speed === undefined ? undefined : found(speedGroup(speed)) },
  };
}

const found = <T>(answer: Answer<T>): T | undefined => (isRefusal(answer) ? undefined : answer);

/** A refusal by the names of the request: `exposure[3]` is /kerma/3, a density /densities/4 (base plus fog comes first). */
function named<T>(field: string, answer: Answer<T>): Answer<T> {
  if (!isRefusal(answer)) return answer;
  const [, name = '', index] = /^(\w+)(?:\[(\d+)\])?$/.exec(answer.of) ?? [];
  const at = index === undefined ? [] : [String(Number(index) + (name === 'density' ? 1 : 0))];
  const own = name === 'exposure' || field === 'reference' ? field : 'densities';
  return { ...answer, of: [own, ...at].join('.') };
}
