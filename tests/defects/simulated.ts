import { Dice } from '../../src/cli/demo/random.js';
import { decode } from '../../src/events/decode.js';
import type { AnyEvent } from '../../src/events/event.js';

/**
 * Offices that plant a cause and send what it would bring about. Density follows from exposure and development as numbers,
 * signs from density and fog by thresholds, records come with gaps: nothing of it is the model that infers.
 */

/** How often each is planted, of 1000: our own guess at an office, not the shares of the packs. */
export const planted = {
  underexposure: 60,
  overexposure: 70,
  cone_too_far: 20,
  dev_cold: 50,
  dev_hot: 50,
  dev_time_short: 50,
  dev_time_long: 50,
  dev_exhausted: 90,
  fresh_mix_weak: 20,
  dev_concentrated: 20,
  safelight: 40,
  light_leak: 30,
  film_old: 30,
  fix_time_short: 50,
  fixer_exhausted: 50,
  beam_misaligned: 70,
  no_holder: 30,
  film_backwards: 20,
  movement: 30,
  vertical_too_flat: 60,
  film_too_apical: 50,
  horizontal_wrong: 60,
} as const;
export type Planted = keyof typeof planted;

export interface Case {
  readonly cause: Planted;
  readonly events: readonly AnyEvent[];
  readonly signs: readonly string[];
  readonly extent?: 'film' | 'run';
}

/** Minutes by the chart on the wall. */
const chart = (fahrenheit: number) =>
  fahrenheit < 66 ? 6 : fahrenheit < 69 ? 5 : fahrenheit < 71 ? 4.5 : fahrenheit < 74 ? 4 : 3;

export function simulate(seed: number): Case | undefined {
  const dice = new Dice(`case ${seed}`);
  const even = () => dice.whole(0, 9999) / 10_000;
  const chance = (p: number) => even() < p;
  const around = (middle: number, spread: number) => middle + spread * (even() + even() + even() - 1.5);
  const cause = pick(even());
  const is = (...names: Planted[]) => names.includes(cause);

  // Exposure against the chart of the office.
  const set = is('underexposure') ? around(0.5, 0.2) : is('overexposure') ? around(2, 0.5) : around(1, 0.1);
  const exposure = set * (is('cone_too_far') ? around(0.5, 0.15) : is('film_backwards') ? 0.4 : 1);
  // Developer: the temperature of the bath, the time that was given, the strength of the mix.
  const bath = is('dev_cold') ? around(59, 3) : is('dev_hot') ? around(80, 3) : around(70, 2);
  const asked = is('dev_cold') ? 4.5 : is('dev_hot') ? 4.5 : chart(bath);
  const time =
    asked * (is('dev_time_short') ? around(0.55, 0.15) : is('dev_time_long') ? around(1.8, 0.3) : around(1.03, 0.04));
  const age = is('dev_exhausted')
    ? dice.whole(30, 70)
    : is('fresh_mix_weak', 'dev_concentrated')
      ? dice.whole(0, 1)
      : dice.whole(3, 30);
  const strength = is('dev_exhausted', 'fresh_mix_weak')
    ? around(0.5, 0.15)
    : is('dev_concentrated')
      ? around(1.8, 0.3)
      : around(1, 0.08);
  const developed = strength * (time / 4.5) ** 0.8 * 2 ** ((bath - 70) / 12);
  const density = 1.1 * exposure ** 0.9 * developed;
  const fog =
    (is('safelight', 'light_leak') ? around(0.35, 0.15) : is('film_old') ? around(0.3, 0.15) : around(0.03, 0.02)) +
    (bath > 78 && chance(0.4) ? 0.15 : 0);

  const shown = new Set<string>();
  const show = (sign: string, p: number) => chance(p) && shown.add(sign);
  if (density < 0.75) show('light_image', 0.95);
  if (density > 1.6) show('dark_image', 0.95);
  if (fog > 0.2) show('fogged', 0.9);
  if (is('fix_time_short', 'fixer_exhausted') && !show('yellow_brown_stain', 0.6)) show('green_stain', 0.6);
  if (is('beam_misaligned', 'no_holder')) show('cone_cut', 0.85);
  if (is('film_backwards')) show('reversed_pattern', 0.75);
  if (is('movement')) show('blurred_image', 0.9);
  if (is('vertical_too_flat')) show('elongated', 0.9);
  if (is('film_too_apical')) show('crowns_missing', 0.9);
  if (is('horizontal_wrong')) show('overlapped_contacts', 0.9);
  if (chance(0.03)) shown.add('water_marks');
  if (shown.size === 0) return undefined;

  const events: AnyEvent[] = [];
  const day = Date.parse('2026-03-11T14:00:00Z');
  const tell = (minutes: number, type: string, data: object) => {
    const at = day + minutes * 60_000;
    const sent = {
      specversion: '1.0',
      type,
      source: 'office',
      id: `e-${events.length}`,
      time: new Date(at).toISOString(),
      site: 'office',
      data,
    };
    const decoded = decode(sent, { now: at, hashPatient: (token) => token });
    if (!decoded.ok) throw new Error(JSON.stringify(decoded.faults));
    events.push(decoded.event as AnyEvent);
  };
  const round = (value: number) => Math.round(value * 100) / 100;
  const minutesBefore = 1440 * age + 30;
  tell(-1440 * 90, 'site.configured', {
    ...{ name: 'Office', zone: 'America/Chicago', jurisdictions: ['us'], workingDays: [1, 2, 3, 4, 5] },
    ...{ lines: [{ id: 'M1', method: 'manual', chemistry: 'standard' }], tubes: [{ id: 'R1' }] },
  });
  if (chance(0.8)) tell(-minutesBefore, 'chemistry.changed', { line: 'M1', bath: 'developer' });
  if (chance(0.6)) {
    tell(-2900, 'fixer.cleared', { line: 'M1', time: { value: 60, unit: 's' } });
    tell(-20, 'fixer.cleared', {
      line: 'M1',
      time: { value: round(is('fixer_exhausted') ? around(120, 20) : around(72, 10)), unit: 's' },
    });
  }
  if (chance(0.4))
    tell(-1440 * 5, 'darkroom.checked', {
      line: 'M1',
      test: 'lightTight',
      lights: 'off',
      outlineSeen: is('light_leak') && chance(0.9),
    });
  if (chance(0.4))
    tell(-1440 * 5 + 10, 'darkroom.checked', {
      line: 'M1',
      test: 'safelight',
      lights: 'safelight',
      outlineSeen: is('safelight', 'light_leak') && chance(0.9),
    });
  if (chance(0.7)) {
    const strip = 1.1 * developed;
    const steps = Math.min(4, Math.max(0, Math.round(Math.abs(Math.log2(strip / 1.1)) * 4)));
    const direction = steps === 0 ? {} : { direction: strip < 1.1 ? 'lighter' : 'darker' };
    tell(-60, 'stepwedge.read', {
      line: 'M1',
      ...(chance(0.6) ? { batch: 'B-1' } : {}),
      difference: { steps, ...direction },
    });
  }
  if (chance(0.6))
    tell(-3000, 'filmstock.received', { lot: 'L-1', speed: 'F', expires: is('film_old') ? '2026-01' : '2027-06' });
  tell(0, 'film.exposed', {
    ...{ film: 'F-1', tube: 'R1', view: 'BW_R', patientSize: 'adult', lot: 'L-1' },
    ...(chance(0.7)
      ? {
          filmSpeed: 'F',
          tubeVoltage: { value: 70, unit: 'kV' },
          tubeCurrent: { value: 7, unit: 'mA' },
          time: { value: round(0.25 * set), unit: 's' },
        }
      : {}),
    ...(chance(0.6) ? { holder: !is('no_holder') && chance(0.85) } : {}),
  });
  tell(10, 'film.processed', {
    ...{ line: 'M1', method: 'manual', films: ['F-1', 'F-2', 'F-3'] },
    developer: {
      ...(chance(0.75) ? { temperature: { value: round(bath), unit: '[degF]' } } : {}),
      ...(chance(0.8) ? { time: { value: Math.round(time * 60), unit: 's' } } : {}),
    },
  });
  const ofRun =
    density > 0 &&
    is(
      'dev_cold',
      'dev_hot',
      'dev_time_short',
      'dev_time_long',
      'dev_exhausted',
      'fresh_mix_weak',
      'dev_concentrated',
      'safelight',
      'light_leak',
      'film_old',
      'fixer_exhausted',
      'fix_time_short',
    );
  const extent = chance(0.6) ? { extent: chance(0.92) === ofRun ? ('run' as const) : ('film' as const) } : {};
  return { cause, events, signs: [...shown], ...extent };
}

function pick(even: number): Planted {
  const entries = Object.entries(planted) as [Planted, number][];
  let left = even * entries.reduce((sum, [, weight]) => sum + weight, 0);
  for (const [cause, weight] of entries) if ((left -= weight) < 0) return cause;
  return 'underexposure';
}
