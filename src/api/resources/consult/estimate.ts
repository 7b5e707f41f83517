import type { SiteState, TubeState } from '../../../engine/state.js';
import { same } from '../../../events/units.js';
import {
  areaProduct,
  avoidable,
  coneEndKerma,
  fieldArea,
  leftOut,
  outputAt,
  type Field,
} from '../../../radiography/exposure/kerma.js';
import { compareWithLevels } from '../../../radiography/exposure/reference-levels.js';
import type { ExposureBody } from '../../schemas/exposure.js';
import { tellEstimate } from '../../views/exposure.js';
import { invalid } from './place.js';
import { answered, reduced } from './reckoned.js';

/** An estimate of the dose at the end of the cone, where the output of the unit was measured. @throws Problem */
export function estimateOf(
  body: ExposureBody,
  exposure: { readonly voltage: number; readonly charge: number },
  tube: TubeState | undefined,
  state: SiteState,
) {
  const { output } = body;
  if (output === undefined) {
    for (const field of ['field', 'films', 'coneEnd'] as const)
      if (body[field] !== undefined)
        throw invalid(`/${field}`, 'combination', 'needs output: without it there is no estimate');
    return undefined;
  }
  if (!same(reduced(output.tubeVoltage), exposure.voltage))
    throw invalid(
      '/output/tubeVoltage',
      'combination',
      `must be that of the exposure, ${exposure.voltage} kV: output does not follow the rules of thumb for the darkness of a film`,
    );
  const coneEnd = body.coneEnd ?? body.wanted?.cone?.length ?? body.known?.cone?.length;
  const measuredAt = reduced(output.distance);
  const end = coneEnd === undefined ? (tube?.config.coneLength ?? measuredAt) : reduced(coneEnd);
  const perCharge = reduced(output.kerma) / reduced(output.charge);
  const kerma = answered(coneEndKerma(answered(outputAt(perCharge, measuredAt, end)), exposure.charge));
  const product = body.field && answered(areaProduct(kerma, answered(fieldArea(fieldOf(body.field)))));
  const films = body.films ?? counted(state, body.tube);
  const levels = answered(compareWithLevels(kerma)).map(({ level, ratio, isWithin }) => ({
    ...level,
    ratio,
    within: isWithin,
  }));
  return {
    kerma,
    areaProduct: product,
    avoidable: films && {
      of: product === undefined ? ('kerma' as const) : ('areaProduct' as const),
      ...share(product ?? kerma, films),
    },
    levels,
    leftOut: [...leftOut],
    text: tellEstimate(kerma, levels),
  };
}

type SentField = NonNullable<ExposureBody['field']>;
const fieldOf = (field: SentField): Field =>
  'diameter' in field
    ? { diameter: reduced(field.diameter) }
    : { width: reduced(field.width), height: reduced(field.height) };

interface Films {
  readonly exposures: number;
  readonly retakes: number;
}

/** Exposures of a unit on record, as far back as days are kept; undefined for none. */
function counted({ counts }: SiteState, tube: string | undefined): Films | undefined {
  if (tube === undefined) return undefined;
  const cells = counts.flatMap(({ cells: ofDay }) =>
    Object.entries(ofDay).flatMap(([key, tally]) => (key.startsWith(`${tube}|`) ? [tally] : [])),
  );
  const sum = (of: 'exposures' | 'retakes') => cells.reduce((all, tally) => all + tally[of], 0);
  const films = { exposures: sum('exposures'), retakes: sum('retakes') };
  return films.exposures > 0 ? films : undefined;
}

function share(each: number, { exposures, retakes }: Films) {
  if (retakes > exposures)
    throw invalid('/films/retakes', 'out-of-range', 'must be no more than exposures, which counts them too');
  const parts = [
    { amount: each * (exposures - retakes), isRetake: false },
    { amount: each * retakes, isRetake: true },
  ];
  return answered(avoidable(parts.filter(({ amount }) => amount > 0)));
}
