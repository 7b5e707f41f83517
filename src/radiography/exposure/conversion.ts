import { isRefusal, refuse, type Answer, type Refusal } from '../../refusal.js';
import { notAbove0 } from '../input.js';
import { charge } from './charge.js';
import { distanceFactor } from './distance.js';
import { speedFactor, type SpeedSource } from './speed.js';
import { voltageFactor, type VoltageRule } from './voltage.js';
import type { SpeedGroup } from '../sensitometry/speed.js';

/** What an exposure is made with: kV, mA, mm from target to film, the film's speed group. */
export interface Setting {
  readonly voltage: number;
  readonly current: number;
  readonly distance?: number | undefined;
  readonly filmSpeed?: SpeedGroup | undefined;
}

/** One step from the known exposure to the wanted one. */
export interface ConversionStep {
  readonly step: 'speed' | 'distance' | 'voltage' | 'current';
  /** Of the charge, or for the current of the time. */
  readonly factor: number;
  /** The time after it, s. */
  readonly time: number;
}

export interface Conversion {
  /** s */
  readonly time: number;
  /** mA s */
  readonly charge: number;
  /** Only of what changes, in the order in which they were taken. */
  readonly steps: readonly ConversionStep[];
}

/** Which of several rules a conversion goes by; each is named in its step. */
export interface ConversionRules {
  readonly voltage: VoltageRule;
  readonly speed: SpeedSource;
}

/**
 * The time that gives the same density with another setting. What is not said of the wanted one stays as it was.
 *
 * @param time of the known exposure, s
 */
export function convert(
  known: Setting & { readonly time: number },
  wanted: Partial<Setting>,
  rules: ConversionRules,
): Answer<Conversion> {
  const to: Setting = {
    voltage: wanted.voltage ?? known.voltage,
    current: wanted.current ?? known.current,
    distance: wanted.distance ?? known.distance,
    filmSpeed: wanted.filmSpeed ?? known.filmSpeed,
  };
  const wrong = unfitSetting(known, 'known') ?? unfitSetting(to, 'wanted') ?? onlyWanted(known, wanted);
  if (wrong !== undefined) return wrong;
  const factors: readonly [ConversionStep['step'], Answer<number>][] = [
    ['speed', bySpeed(known.filmSpeed, to.filmSpeed, rules.speed)],
    ['distance', byDistance(known.distance, to.distance)],
    ['voltage', byVoltage(known.voltage, to.voltage, rules.voltage)],
    ['current', known.current === to.current ? 1 : known.current / to.current],
  ];
  const steps: ConversionStep[] = [];
  let time = known.time;
  for (const [step, factor] of factors) {
    if (isRefusal(factor)) return placed(step, factor);
    if (factor === 1) continue;
    time *= factor;
    steps.push({ step, factor, time });
  }
  const current = charge(to.current, time);
  return isRefusal(current) ? { ...current, of: `wanted.${current.of}` } : { time, charge: current, steps };
}

/** Whether or not it changes, every quantity of a setting must be one. */
function unfitSetting(setting: Setting & { readonly time?: number }, whose: 'known' | 'wanted'): Refusal | undefined {
  const { filmSpeed: _speed, ...quantities } = setting;
  const given = Object.entries(quantities).filter((entry): entry is [string, number] => entry[1] !== undefined);
  return notAbove0(Object.fromEntries(given.map(([name, value]) => [`${whose}.${name}`, value])));
}

/** A factor is of two: what is wanted must be known. */
function onlyWanted(known: Partial<Setting>, wanted: Partial<Setting>): Refusal | undefined {
  const field = (['distance', 'filmSpeed'] as const).find(
    (one) => wanted[one] !== undefined && known[one] === undefined,
  );
  return (
    field && refuse('not-known', `known.${field}`, `A ${field} is wanted, and that of the known exposure is not told.`)
  );
}

const bySpeed = (from: SpeedGroup | undefined, to: SpeedGroup | undefined, source: SpeedSource) =>
  from === undefined || to === undefined || from === to ? 1 : speedFactor(from, to, source);
const byDistance = (from: number | undefined, to: number | undefined) =>
  from === undefined || to === undefined || from === to ? 1 : distanceFactor(from, to);
const byVoltage = (from: number, to: number, rule: VoltageRule) => (from === to ? 1 : voltageFactor(rule, from, to));

/** A refusal in the words of a setting: `from` and `to` are those of the one step. */
function placed(step: ConversionStep['step'], refusal: Refusal): Refusal {
  const field = { speed: 'filmSpeed', distance: 'distance', voltage: 'voltage', current: 'current' }[step];
  return { ...refusal, of: `${refusal.of === 'from' ? 'known' : 'wanted'}.${field}` };
}
