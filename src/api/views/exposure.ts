import type { Expected } from '../../engine/technique.js';
import type { ConversionRules, ConversionStep, Setting } from '../../radiography/exposure/conversion.js';
import { coneChange, type Cone } from '../../radiography/exposure/distance.js';
import { exposureSources } from '../../radiography/exposure/sources.js';
import { toCanonical } from '../../events/units.js';
import { isRefusal } from '../../refusal.js';

export function expectedView({ technique, row }: Expected, view: string) {
  const { id, title, pack, citation, filmSpeed, tubeVoltage, tubeCurrent } = technique;
  return {
    ...{ pack: pack.id, version: pack.version, authority: pack.authority, layer: pack.layer, citation },
    ...{
      technique: id,
      title,
      view,
      patientSize: row.patientSize,
      filmSpeed,
      tubeVoltage,
      tubeCurrent,
      time: row.time,
    },
  };
}

interface SentCone {
  readonly length: { readonly value: number; readonly unit: string };
  readonly behind: { readonly value: number; readonly unit: string };
}

interface Told {
  readonly from: Setting;
  readonly to: Partial<Setting>;
  readonly rules: ConversionRules;
  readonly cones: readonly [SentCone | undefined, SentCone | undefined];
}

export function stepsView(steps: readonly ConversionStep[], told: Told) {
  return steps.map((each) => {
    const rule = each.step === 'voltage' ? told.rules.voltage : each.step === 'speed' ? told.rules.speed : each.step;
    return { ...each, rule, source: exposureSources[rule], text: tellStep(each, told) };
  });
}

function tellStep({ step, factor }: ConversionStep, { from, to, rules, cones }: Told): string {
  const times = `${round(factor)} times the time`;
  switch (step) {
    case 'speed':
      return `Film of speed ${to.filmSpeed} instead of ${from.filmSpeed}: ${times}. The maker’s sheet and a test exposure decide.`;
    case 'distance':
      return `${round(to.distance ?? 0)} mm from target to film instead of ${round(from.distance ?? 0)} mm: ${times}.${byLength(cones)}`;
    case 'voltage':
      return `${round(to.voltage ?? 0)} kV instead of ${round(from.voltage)} kV by the rule of ${rules.voltage === '15-kVp' ? '15 kVp' : '15 percent'}: ${times}.`;
    case 'current':
      return `${round(to.current ?? 0)} mA instead of ${round(from.current)} mA: ${times}.`;
  }
}

/** By the lengths of the cones alone, as it is often reckoned, the film would get too much or too little. */
function byLength([from, to]: Told['cones']): string {
  const change = from && to && coneChange(coneOf(from), coneOf(to));
  if (change === undefined || isRefusal(change)) return '';
  const off = Math.abs(change.off);
  if (off < 0.05) return '';
  return ` By the lengths of the cones alone it would be ${round(change.byLength)} times, ${round(off)} % too ${change.off > 0 ? 'much' : 'little'}: the film lies behind the cone.`;
}

const coneOf = ({ length, behind }: SentCone): Cone => ({
  length: toCanonical(length.value, length.unit),
  behind: toCanonical(behind.value, behind.unit),
});

export const tellGiven = (ratio: number): string =>
  `${round(ratio)} times the exposure asked for, ${round(Math.abs(100 * (ratio - 1)))} % ${ratio >= 1 ? 'over' : 'under'}.`;

export function tellEstimate(
  kerma: number,
  levels: readonly { readonly place: string; readonly kerma: number; readonly within: boolean }[],
): string {
  const above = levels.filter(({ within }) => !within);
  const against =
    above.length === 0
      ? 'within every reference level that was read'
      : `above the reference level of ${above.map(({ place, kerma: level }) => `${place} (${level} mGy)`).join(', ')}: ask why`;
  return `About ${round(kerma)} mGy at the end of the cone, an estimate; ${against}. A level is a third quartile of a survey, no limit for a patient.`;
}

/** Three figures. */
const round = (value: number): string => String(Number(value.toPrecision(3)));
