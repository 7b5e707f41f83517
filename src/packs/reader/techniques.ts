import { patientSizes } from '../../events/exposure.js';
import { dimensionOf } from '../../events/units.js';
import { voltageRules, voltageSpan } from '../../radiography/exposure/voltage.js';
import { facts } from '../facts.js';
import type { Citation, Technique, TechniqueRow } from '../model.js';
import { list, mapping, number, oneOrMore, optional, required, text, word } from './decode.js';
import type { Decoder } from './decode.js';
import { cite } from './limits.js';
import { fault } from './spot.js';
import type { Spot } from './spot.js';
import { citation, id, quantity } from './values.js';

/** A number above 0 in a canonical unit, from a quantity of its dimension. */
function amount(unit: string): Decoder<number> {
  return (spot) => {
    const read = quantity(spot);
    if (read === undefined) return undefined;
    if (dimensionOf(read.unit) !== dimensionOf(unit))
      return fault(spot, 'unit-mismatch', `${read.unit} does not measure ${spot.name}, which is in ${unit}.`);
    return aboveZero(spot, read.canonical);
  };
}

const aboveZero = (spot: Spot, value: number) =>
  value > 0 ? value : fault(spot, 'chart-wrong', `${spot.name} is above 0, not ${value}.`);

const voltage: Decoder<number> = (spot) => {
  const kV = amount('kV')(spot);
  const { from, to } = voltageSpan;
  if (kV === undefined || (kV >= from && kV <= to)) return kV;
  return fault(spot, 'chart-wrong', `A technique chart is for ${from} to ${to} kV, not ${kV}.`);
};

const whole: Decoder<number> = (spot) => {
  const value = number(spot);
  return value === undefined ? undefined : aboveZero(spot, value);
};

const rowShape = {
  view: required(oneOrMore(text)),
  patientSize: optional(word(patientSizes)),
  time: optional(amount('s')),
  pulses: optional(whole),
};

const shape = {
  id: required(id),
  title: required(text),
  for: optional((spot) => mapping(spot, { site: optional(oneOrMore(text)), tube: optional(oneOrMore(text)) })?.whole),
  filmSpeed: required(word(facts.get('exposure.filmSpeed')?.words ?? [])),
  tubeVoltage: required(voltage),
  tubeCurrent: required(amount('mA')),
  voltageRule: optional(word(voltageRules)),
  pulsesPerSecond: optional(whole),
  citation: optional(citation),
};

/** A row as it stands in the file. */
interface WrittenRow {
  readonly spot: Spot;
  readonly pulsesAt: Spot;
  readonly view: readonly string[];
  readonly patientSize?: (typeof patientSizes)[number];
  readonly time?: number;
  readonly pulses?: number;
}

const written: Decoder<WrittenRow> = (spot) => {
  const got = mapping(spot, rowShape);
  if (got?.whole === undefined) return undefined;
  if (got.has('time') !== got.has('pulses')) return { spot, pulsesAt: got.at('pulses'), ...got.whole };
  return fault(spot, 'chart-wrong', `${spot.name} has either time or pulses.`);
};

/** The technique chart of an office. */
export function technique(source: Citation | undefined): Decoder<Technique> {
  return (spot) => {
    const got = mapping(spot, { ...shape, rows: required(list(written)) });
    if (got === undefined) return undefined;
    const cited = cite(spot, got.values.citation, source, got.has('citation'));
    const { pulsesPerSecond } = got.values;
    const all = got.values.rows ?? [];
    const rows = all.map((each) => row(each, pulsesPerSecond)).filter((each) => each !== undefined);
    repeated(all);
    if (got.whole === undefined || cited === undefined || rows.length < all.length) return undefined;
    const { for: places = {}, voltageRule = '15-kVp', ...rest } = got.whole;
    return { ...rest, for: places, voltageRule, rows, citation: cited };
  };
}

function row(
  { view: views, patientSize, time, pulses, pulsesAt }: WrittenRow,
  pulsesPerSecond: number | undefined,
): TechniqueRow | undefined {
  const seconds = time ?? (pulsesPerSecond === undefined ? undefined : (pulses ?? 0) / pulsesPerSecond);
  if (seconds === undefined)
    return fault(pulsesAt, 'missing-field', 'Rows in pulses need pulsesPerSecond: 60 at 60 Hz, one a period.');
  return { views, ...(patientSize === undefined ? {} : { patientSize }), time: seconds };
}

/** One view of one size of patient has one time. */
function repeated(rows: readonly WrittenRow[]): void {
  const seen = new Set<string>();
  for (const { spot, view, patientSize } of rows)
    for (const one of view) {
      const name = patientSize === undefined ? one : `${one}, ${patientSize}`;
      if (seen.has(name)) fault(spot, 'duplicate-id', `${name} stands in this chart already.`);
      seen.add(name);
    }
}
