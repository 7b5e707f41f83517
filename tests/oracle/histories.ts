import fc from 'fast-check';
import type { SentEvent } from '../../src/cli/demo/teller.js';

/**
 * Generated histories of one site, made so that things happen: few ids, few clock times, few films, many breaches.
 * What each history holds is counted (see coverage.test.ts), so that an arbitrary that grows dull makes the suite fail.
 */
export interface History {
  readonly events: readonly SentEvent[];
  /** The instant to look at last, ms. */
  readonly until: number;
}

export const site = 'oracle';
const start = Date.parse('2026-01-02T08:00:00Z');
export const days = 100;
const day = 86_400_000;

// Beirut skips a midnight in March, Lord Howe moves its clocks by half an hour in April.
const zones = [
  'America/Los_Angeles',
  'America/Denver',
  'America/Chicago',
  'UTC',
  'Asia/Beirut',
  'Australia/Lord_Howe',
] as const;
const places = [['us', 'us-wa'], ['us', 'us-nm'], ['us', 'us-mn'], ['us']] as const;
const senders = ['pms', 'darkroom'] as const;

interface Draft {
  readonly type: string;
  readonly data: Record<string, unknown>;
}
/** A draft that must know what came before it in the list: it gets the events so far. */
type Act = (earlier: readonly SentEvent[]) => Draft | undefined;

const always = <T>(arbitrary: fc.Arbitrary<T>, make: (value: T) => Draft): fc.Arbitrary<Act> =>
  arbitrary.map((value) => () => make(value));

const line = fc.constantFrom('M1', 'M1', 'M1', 'A1');
const film = fc.integer({ min: 0, max: 11 }).map((n) => `F-${n}`);
const degrees = fc.integer({ min: 116, max: 164 }).map((halves) => ({ value: halves / 2, unit: '[degF]' }));
const minutes = fc.integer({ min: 2, max: 22 }).map((halves) => ({ value: halves / 2, unit: 'min' }));

const changed = always(
  fc.record({
    line,
    bath: fc.constantFrom('developer', 'fixer'),
    by: fc.option(fc.constant('op-1'), { nil: undefined, freq: 3 }),
  }),
  (data) => ({ type: 'chemistry.changed', data }),
);
const replenished = always(
  fc.record({ line, bath: fc.constant('developer'), with: fc.constantFrom('replenisher', 'water') }),
  (data) => ({
    type: 'chemistry.replenished',
    data,
  }),
);
const measured = always(
  fc.record({ line, bath: fc.constantFrom('developer', 'developer', 'fixer', 'wash'), temperature: degrees }),
  (data) => ({ type: 'bath.measured', data }),
);
/** Base plus fog, then seven steps; a lighter or darker strip is the same ramp shifted. */
const ramp = (shift: number) => [
  0.2,
  ...[1, 2, 3, 4, 5, 6, 7].map((step) => Math.max(0.05, (1 + 4 * (step + shift)) / 10)),
];
const strip = always(
  fc.record({
    line,
    steps: fc.integer({ min: 0, max: 5 }),
    lighter: fc.boolean(),
    how: fc.constantFrom('seen', 'seen', 'both', 'densities'),
  }),
  ({ line, steps, lighter, how }) => ({
    type: 'stepwedge.read',
    data: {
      line,
      ...(how === 'densities'
        ? {}
        : { difference: steps === 0 ? { steps } : { steps, direction: lighter ? 'lighter' : 'darker' } }),
      ...(how === 'seen' ? {} : { densities: ramp(lighter ? -steps : steps) }),
    },
  }),
);
const run = always(
  fc.record({
    line,
    films: fc.oneof(fc.uniqueArray(film, { minLength: 1, maxLength: 3 }), fc.integer({ min: 1, max: 6 })),
    time: minutes,
    temperature: fc.option(degrees, { nil: undefined, freq: 2 }),
    fixer: fc.option(minutes, { nil: undefined }),
    purpose: fc.constantFrom('patient', 'patient', 'patient', 'test'),
  }),
  ({ line, films, time, temperature, fixer, purpose }) => ({
    type: 'film.processed',
    data: {
      line,
      method: line === 'A1' ? 'automatic' : 'manual',
      ...(typeof films === 'number' ? { count: films } : { films }),
      purpose,
      endpoint: 'timed',
      developer: temperature ? { time, temperature } : { time },
      ...(fixer ? { fixer: { time: fixer } } : {}),
    },
  }),
);
const chairside = always(fc.uniqueArray(film, { minLength: 1, maxLength: 3 }), (films) => ({
  type: 'film.processed',
  data: { line: 'C1', method: 'chairside', films, purpose: 'working', developer: { time: { value: 15, unit: 's' } } },
}));
const refixed = always(
  fc.record({
    line: fc.constantFrom('C1', 'C1', 'M1'),
    films: fc.oneof(fc.uniqueArray(film, { minLength: 1, maxLength: 3 }), fc.integer({ min: 1, max: 4 })),
  }),
  ({ line, films }) => ({
    type: 'film.refixed',
    data: {
      line,
      ...(typeof films === 'number' ? { count: films } : { films }),
      fixer: { time: { value: 10, unit: 'min' } },
      wash: { time: { value: 20, unit: 'min' } },
    },
  }),
);
const exposed = always(
  fc.record({
    film,
    tube: fc.constantFrom('R1', 'R2'),
    lot: fc.constantFrom('lot-a', 'lot-b'),
    filmSpeed: fc.constantFrom('D', 'E', 'F'),
  }),
  (data) => ({ type: 'film.exposed', data }),
);
const reviewed = always(fc.record({ film, light: fc.boolean() }), ({ film, light }) => ({
  type: 'film.reviewed',
  data: light ? { film, grade: 'unacceptable', signs: ['light_image'] } : { film, grade: 'acceptable', signs: [] },
}));
/** Of one line, or of the whole office: then the temperature is that of its only tank, if it has just one. */
const opened = always(
  fc.record({
    line: fc.option(line, { nil: undefined, freq: 2 }),
    water: fc.boolean(),
    levels: fc.boolean(),
    temperature: degrees,
  }),
  (data) => ({ type: 'day.opened', data }),
);
const instrument = always(fc.integer({ min: -4, max: 4 }), (off) => ({
  type: 'instrument.checked',
  data: {
    instrument: 'thermometer-1',
    kind: 'thermometer',
    reading: { value: 68 + off, unit: '[degF]' },
    reference: { value: 68, unit: '[degF]' },
  },
}));
const darkroom = always(fc.boolean(), (outlineSeen) => ({
  type: 'darkroom.checked',
  data: { line: 'M1', test: 'safelight', lights: 'safelight', time: { value: 3, unit: 'min' }, outlineSeen },
}));
const stock = always(
  fc.record({ lot: fc.constantFrom('lot-a', 'lot-b'), expires: fc.constantFrom('2026-01', '2026-02-10', '2027-01') }),
  (data) => ({
    type: 'filmstock.opened',
    data,
  }),
);
const clearing = always(fc.integer({ min: 60, max: 300 }), (value) => ({
  type: 'fixer.cleared',
  data: { line: 'M1', time: { value, unit: 's' } },
}));
/** By dates, by instants, or from the one to the other: a closure may begin or end within a working day. */
const closed = always(
  fc.record({
    from: fc.integer({ min: 0, max: 95 }),
    length: fc.integer({ min: 0, max: 9 }),
    begins: fc.option(fc.constantFrom(0, 9, 15, 20), { nil: undefined }),
    ends: fc.option(fc.constantFrom(10, 16, 21), { nil: undefined }),
    line: fc.option(line, { nil: undefined }),
  }),
  ({ from, length, begins, ends, line }) => {
    const hour = (on: number, at: number): string => `${date(on)}T${String(at).padStart(2, '0')}:00:00Z`;
    return {
      type: 'site.closed',
      data: {
        from: begins === undefined ? date(from) : hour(from, begins),
        to: ends === undefined ? date(from + length) : hour(from + length + 1, ends),
        line,
      },
    };
  },
);

/** A configuration, by the choices that matter: zone, law, whether the roller line has ended. */
const configuration = fc.record({
  zone: fc.constantFrom(...zones),
  jurisdictions: fc.constantFrom(...places),
  rollersEnded: fc.boolean(),
  workingDays: fc.constantFrom([1, 2, 3, 4, 5], [1, 2, 3, 4, 5, 6, 7]),
});
const configured = (c: typeof configuration extends fc.Arbitrary<infer T> ? T : never): Draft => ({
  type: 'site.configured',
  data: {
    name: 'Oracle',
    zone: c.zone,
    jurisdictions: [...c.jurisdictions],
    workingDays: [...c.workingDays],
    lines: [
      { id: 'M1', method: 'manual', chemistry: 'standard' },
      { id: 'A1', method: 'automatic', ...(c.rollersEnded ? { ended: true } : {}) },
      { id: 'C1', method: 'chairside', chemistry: 'rapid' },
    ],
    tubes: [{ id: 'R1' }, { id: 'R2' }],
  },
});
const reconfigured = always(configuration, configured);

/** Takes back one of the events told so far, but never the first configuration. */
const retracted: fc.Arbitrary<Act> = fc.nat(999).map((nth) => (earlier) => {
  const target = earlier[1 + (nth % Math.max(1, earlier.length - 1))];
  if (target === undefined || target.type === 'event.retracted') return undefined;
  return { type: 'event.retracted', data: { source: target.source, id: target.id, reason: 'typed twice' } };
});

/** Rules that people's words are addressed to. */
export const addressed = { wedge: 'common/wedge/steps', age: 'common/chemistry-age/chemistry-age' } as const;

/** People's words, addressed by rule, topic and an instant shortly before, so that some find their finding. */
const people: fc.Arbitrary<Act> = fc
  .record({
    word: fc.constantFrom('finding.acknowledged', 'finding.snoozed', 'finding.resolved'),
    about: fc.constantFrom('wedge', 'chemistry'),
    on: fc.integer({ min: 0, max: days - 1 }),
  })
  .map(({ word, about, on }) => () => ({
    type: word,
    data: {
      rule: about === 'wedge' ? addressed.wedge : addressed.age,
      topic: 'line:M1',
      instant: new Date(start + on * day + 40_000_000).toISOString(),
      ...(word === 'finding.snoozed' ? { until: date(on + 3), reason: 'part ordered' } : {}),
      ...(word === 'finding.resolved' ? { rootCause: 'old developer', action: 'changed' } : {}),
    },
  }));

const act: fc.Arbitrary<Act> = fc.oneof(
  { arbitrary: run, weight: 14 },
  { arbitrary: strip, weight: 10 },
  { arbitrary: measured, weight: 7 },
  { arbitrary: changed, weight: 4 },
  { arbitrary: replenished, weight: 2 },
  { arbitrary: chairside, weight: 3 },
  { arbitrary: refixed, weight: 4 },
  { arbitrary: exposed, weight: 5 },
  { arbitrary: reviewed, weight: 3 },
  { arbitrary: opened, weight: 4 },
  { arbitrary: instrument, weight: 2 },
  { arbitrary: darkroom, weight: 2 },
  { arbitrary: stock, weight: 2 },
  { arbitrary: clearing, weight: 2 },
  { arbitrary: closed, weight: 1 },
  { arbitrary: reconfigured, weight: 2 },
  { arbitrary: retracted, weight: 4 },
  { arbitrary: people, weight: 3 },
);

/** Few distinct clock times and some favoured days, so that events tie; some just before and after midnight in the zones used. */
const clock = fc.constantFrom(0, 60, 420, 421, 479, 480, 481, 840, 900, 900, 960, 1020, 1080, 1439);
const on = fc.oneof(
  { arbitrary: fc.integer({ min: 0, max: days - 1 }), weight: 2 },
  { arbitrary: fc.constantFrom(3, 59, 60, 61), weight: 1 },
);
const moment = fc.record({ on, at: clock });

/** A whole history: a first configuration, then acts at any time in a hundred days, told in no order. */
export function histories(size: { min: number; max: number } = { min: 8, max: 50 }): fc.Arbitrary<History> {
  return fc
    .record({
      first: configuration,
      acts: fc.array(fc.tuple(act, moment, fc.constantFrom(...senders)), {
        minLength: size.min,
        maxLength: size.max,
        size: 'max',
      }),
      look: fc.integer({ min: 0, max: 60 }),
    })
    .map(({ first, acts, look }) => {
      const events: SentEvent[] = [sent(0, senders[0], start, configured({ ...first, rollersEnded: false }))];
      acts.forEach(([make, { on, at }, source], index) => {
        const draft = make(events);
        if (draft !== undefined) events.push(sent(index + 1, source, start + on * day + at * 60_000 + 1000, draft));
      });
      return { events, until: start + (days + look) * day };
    });
}

function sent(number: number, source: string, at: number, { type, data }: Draft): SentEvent {
  return {
    specversion: '1.0',
    id: `e-${number}`,
    source,
    type,
    time: new Date(at).toISOString(),
    site,
    datacontenttype: 'application/json',
    data: Object.fromEntries(Object.entries(data).filter(([, value]) => value !== undefined)),
  };
}

function date(on: number): string {
  return new Date(start + on * day).toISOString().slice(0, 10);
}
