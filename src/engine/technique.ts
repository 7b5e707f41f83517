import type { EventData } from '../events/catalogue.js';
import type { Said } from '../packs/book.js';
import type { Technique, TechniqueRow } from '../packs/model.js';
import { exposureRatio, type Factors } from '../radiography/exposure/ratio.js';
import { isRefusal } from '../refusal.js';
import type { Moment } from './moment.js';

type Exposed = EventData['film.exposed'];

/** A row of a technique chart, with the chart. */
export interface Expected {
  readonly technique: Said<Technique>;
  readonly row: TechniqueRow;
}

/** What an exposure was asked for: enough to find its row. */
export type Shot = Pick<Exposed, 'tube' | 'view' | 'patientSize'> & { readonly filmSpeed?: string | undefined };

/** The row of the technique chart in force for a view on a unit: one for the site and unit by name goes before others. */
export function expectedOf(
  { rules, state }: Pick<Moment, 'rules' | 'state'>,
  { tube, view, patientSize, filmSpeed }: Shot,
): Expected | undefined {
  for (const technique of rules.techniques) {
    const { for: places, rows } = technique;
    if (technique.filmSpeed !== filmSpeed) continue;
    if (places.site?.includes(state.id) === false || places.tube?.includes(tube) === false) continue;
    const ofView = rows.filter(({ views }) => view !== undefined && views.includes(view));
    const row =
      ofView.find((each) => each.patientSize !== undefined && each.patientSize === patientSize) ??
      ofView.find((each) => each.patientSize === undefined);
    if (row !== undefined) return { technique, row };
  }
  return undefined;
}

/** How an exposure stands to the chart. Times in s. */
export interface AgainstChart extends Expected {
  readonly time: number;
  /** What the chart asks for at the voltage and current that were used. */
  readonly expectedTime: number;
  /** Exposure given over exposure asked for. */
  readonly ratio: number;
}

/** The exposure of this moment's event against the technique chart; undefined where either is not known. */
export function againstChart(moment: Moment): AgainstChart | undefined {
  if (moment.event?.type !== 'film.exposed') return undefined;
  const { data } = moment.event;
  // The box knows what the exposure does not say.
  const filmSpeed = data.filmSpeed ?? speedOfLot(moment, data.lot);
  const expected = expectedOf(moment, { ...data, filmSpeed });
  if (expected === undefined) return undefined;
  const { technique } = expected;
  const voltage = data.tubeVoltage ?? moment.tube?.config.tubeVoltage;
  const current = data.tubeCurrent ?? moment.tube?.config.tubeCurrent;
  const time = data.time ?? secondsOf(data.pulses, technique);
  if (voltage === undefined || current === undefined || time === undefined) return undefined;
  const ratio = exposureRatio({ voltage, current, time }, factorsOf(expected), technique.voltageRule);
  return isRefusal(ratio) ? undefined : { ...expected, time, expectedTime: time / ratio, ratio };
}

export const factorsOf = ({ technique, row }: Expected): Factors => ({
  voltage: technique.tubeVoltage,
  current: technique.tubeCurrent,
  time: row.time,
});

function speedOfLot({ state }: Moment, lot: string | undefined): Exposed['filmSpeed'] {
  return lot === undefined ? undefined : (state.lots[lot]?.speed as Exposed['filmSpeed']);
}

function secondsOf(pulses: number | undefined, { pulsesPerSecond }: Technique): number | undefined {
  return pulses === undefined || pulsesPerSecond === undefined ? undefined : pulses / pulsesPerSecond;
}
