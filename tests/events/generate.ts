import fc from 'fast-check';
import { catalogue, eventTypes } from '../../src/events/catalogue.js';
import type { EventType } from '../../src/events/catalogue.js';
import { decode } from '../../src/events/decode.js';
import type { AnyEvent } from '../../src/events/event.js';
import { filmSizes } from '../../src/events/film-size.js';
import { signs } from '../../src/events/signs.js';
import type { SiteConfig } from '../../src/events/site.js';
import { isoTeeth, universalTeeth } from '../../src/events/teeth.js';
import { fromCanonical, unitsOf } from '../../src/events/units.js';
import type { Dimension } from '../../src/events/units.js';

/** Generators of valid events for property tests: as sent, or as the fold reads them. */

export interface SentEvent {
  specversion: '1.0';
  id: string;
  source: string;
  type: EventType;
  time: string;
  site: string;
  subject?: string;
  data: Record<string, unknown>;
}

export interface GenerateOptions {
  /** The `site` attribute; default `office`. */
  readonly siteId?: string;
  /** First and last instant, ms; default the two months from 5 January 2026. */
  readonly from?: number;
  readonly to?: number;
  /** Only these types; default all. */
  readonly types?: readonly EventType[];
}

type Data = fc.Arbitrary<Record<string, unknown>>;

/** Fields named with a trailing `?` may be missing. */
function fields(model: Record<string, fc.Arbitrary<unknown>>): Data {
  const names = Object.entries(model).map(([name, value]) => [name.replace('?', ''), value] as const);
  const requiredKeys = Object.keys(model).filter((name) => !name.endsWith('?'));
  return fc.record(Object.fromEntries(names), { requiredKeys });
}

/** A quantity within a span given in the canonical unit, in any unit of the dimension, written with few digits. */
function quantity(dimension: Dimension, min: number, max: number) {
  return fc.tuple(fc.constantFrom(...unitsOf(dimension)), fc.integer({ min: 0, max: 100 })).map(([unit, percent]) => {
    // Rounding to four digits moves a value by less than the 2 % that is kept from either end.
    const canonical = min + ((max - min) * (2 + percent * 0.96)) / 100;
    return { value: Number(fromCanonical(canonical, unit).toPrecision(4)), unit };
  });
}

const words = <T>(...list: T[]) => fc.constantFrom(...list);
const numbered = (prefix: string, most: number) => fc.integer({ min: 1, max: most }).map((at) => `${prefix}${at}`);
const flag = fc.boolean();
/** Few ids, so that reviews, refixings and retakes find the films they speak of. */
const film = numbered('F-', 30);
const films = fc.oneof(
  fields({ films: fc.uniqueArray(film, { minLength: 1, maxLength: 6 }) }),
  fields({ count: fc.integer({ min: 1, max: 12 }) }),
);
const bathTemperature = quantity('temperature', 14, 30);
const time = (min: number, max: number) => quantity('time', min, max);
const density = fc.integer({ min: 10, max: 300 }).map((hundredths) => hundredths / 100);
const reason = words('bath looked weak', 'typed for the wrong line', 'part ordered', 'holiday');
const date = fc.integer({ min: 1, max: 28 }).map((day) => `2026-03-${String(day).padStart(2, '0')}`);
const staff = { 'by?': numbered('op-', 9), 'note?': words('water was cold', 'second try', 'lid left off') };

function merged(...parts: Data[]): Data {
  return fc.tuple(...parts).map((list) => Object.assign({}, ...list) as Record<string, unknown>);
}

function family(site: SiteConfig): Record<EventType, Data> {
  const line = site.lines.length > 0 ? words(...site.lines.map((one) => one.id)) : fc.constant('M1');
  const tube = site.tubes.length > 0 ? words(...site.tubes.map((one) => one.id)) : fc.constant('R1');
  const bath = words('developer', 'fixer');
  const round = fields({
    'line?': line, 'lids?': flag, 'levels?': flag, 'stirred?': flag, 'water?': flag, 'temperature?': bathTemperature, ...staff,
  }); // prettier-ignore
  const stock = fields({
    lot: numbered('LOT-', 5), 'speed?': words('D', 'E', 'F'), 'filmSize?': words(...filmSizes), 'count?': fc.integer({ min: 0, max: 300 }),
    'expires?': fc.oneof(date, words('2026-02', '2026-08', '2027-12')), 'temperature?': quantity('temperature', -10, 40),
    'humidity?': quantity('percent', 10, 90), ...staff,
  }); // prettier-ignore
  const technique = {
    'tubeVoltage?': quantity('voltage', 50, 90),
    'tubeCurrent?': quantity('current', 4, 15),
  };
  const exposed = fc.oneof(fields({ 'time?': time(0.05, 2) }), fields({ pulses: fc.integer({ min: 1, max: 60 }) }));
  const target = fc.oneof(
    fields({ finding: numbered('f-', 20) }),
    fields({
      rule: numbered('common/rule-', 5),
      topic: line.map((id) => `line:${id}`),
      instant: date.map((day) => `${day}T12:00:00Z`),
    }),
  );
  const baths = { fixer: fields({ time: time(60, 1800) }), wash: fields({ time: time(60, 3600) }) };
  const instrument = fc.oneof(
    fields({ kind: fc.constant('thermometer'), reading: bathTemperature, reference: bathTemperature }),
    fields({ kind: fc.constant('timer'), reading: time(100, 400), reference: time(100, 400) }),
    fields({ kind: fc.constant('densitometer'), reading: density, reference: quantity('number', 0.1, 4) }),
  );
  const reading = fc.oneof(
    fields({
      test: fc.constant('output'),
      readings: fc.array(fields({ kerma: quantity('kerma', 0.5, 5) }), { minLength: 1, maxLength: 5 }),
    }),
    fields({
      test: fc.constant('timer'),
      readings: fc.array(fields({ time: time(0.05, 2) }), { minLength: 1, maxLength: 5 }),
    }),
    fields({
      test: fc.constant('halfValueLayer'),
      readings: fc.array(fields({ halfValueLayer: quantity('length', 1, 4) }), { minLength: 1, maxLength: 2 }),
    }),
    fields({
      test: fc.constant('voltage'),
      readings: fc.array(fields({ voltage: quantity('voltage', 50, 90) }), { minLength: 1, maxLength: 3 }),
    }),
    fields({
      test: fc.constant('field'),
      readings: fc.array(fields({ diameter: quantity('length', 50, 80) }), { minLength: 1, maxLength: 1 }),
    }),
  );
  const wedge = fc.oneof(
    fields({ densities: fc.array(density, { minLength: 2, maxLength: 10 }) }),
    fields({ difference: fc.oneof(
      fields({ steps: fc.integer({ min: 1, max: 8 }).map((halves) => halves / 2), direction: words('lighter', 'darker') }),
      fields({ steps: fc.constant(0), 'direction?': fc.constant('same') }),
    ) }),
  ); // prettier-ignore
  return {
    'day.opened': round,
    'day.closed': round,
    'chemistry.changed': fields({
      line, bath, 'kind?': words('standard', 'rapid'), 'product?': words('house developer', 'house fixer'), 'dilution?': words('1+4', '1+7'),
      'volume?': quantity('volume', 500, 20_000), 'lot?': numbered('DEV-', 4), 'tankCleaned?': flag, 'reason?': reason, ...staff,
    }),
    'chemistry.replenished': fields({ line, bath, 'volume?': quantity('volume', 50, 2000), 'with?': words('replenisher', 'water'), ...staff }),
    'bath.measured': merged(
      fields({ line, bath: words('developer', 'fixer', 'wash'), 'instrument?': numbered('thermometer-', 2), ...staff }),
      fc.oneof(fields({ temperature: bathTemperature, 'level?': words('full', 'low') }), fields({ level: words('full', 'low') })),
    ),
    'film.processed': merged(
      fields({
        line, method: words('manual', 'automatic', 'chairside'), 'filmSize?': words(...filmSizes), 'purpose?': words('patient', 'working', 'test'),
        'endpoint?': words('timed', 'sight'), 'developer?': fields({ 'temperature?': bathTemperature, 'time?': time(10, 600) }),
        'rinse?': fields({ time: time(0, 60) }), 'fixer?': baths.fixer, 'wash?': baths.wash, ...staff,
      }),
      films,
    ),
    'film.refixed': merged(fields({ line, ...baths, ...staff }), films),
    'stepwedge.read': merged(
      fields({ line, 'tube?': tube, 'batch?': numbered('strips-', 3), 'lot?': numbered('LOT-', 5), 'reference?': numbered('ref-', 2), ...staff }),
      wedge,
    ),
    'testfilm.read': fields({ line, kind: words('unexposed', 'exposed', 'fresh', 'cleaning'), asExpected: flag, 'density?': density, ...staff }),
    'fixer.cleared': fields({ line, time: time(30, 600), ...staff }),
    'darkroom.checked': merged(
      fields({ line, test: words('lightTight', 'safelight'), lights: words('off', 'safelight'), 'time?': time(60, 600), ...staff }),
      fc.oneof(fields({ outlineSeen: flag }), fields({ densityIncrease: density })),
    ),
    'equipment.cleaned': fields({ line, part: words('rollers', 'tank', 'racks'), ...staff }),
    'equipment.status': merged(
      fc.oneof(fields({ line }), fields({ tube })),
      fields({ status: words('inUse', 'outOfUse', 'repaired', 'moved'), 'reason?': reason, ...staff }),
    ),
    'instrument.checked': merged(fields({ instrument: numbered('thermometer-', 3), ...staff }), instrument),
    'filmstock.received': stock,
    'filmstock.opened': stock,
    'filmstock.stored': stock,
    'film.exposed': merged(
      fields({
        'film?': film, tube, 'view?': words('MX_MOL_R', 'MD_PRE_L', 'BW_MOL_R'), 'series?': numbered('FMX-', 4), ...technique,
        'teeth?': fc.oneof(
          fc.array(words(...isoTeeth), { minLength: 1, maxLength: 4 }),
          fields({ universal: fc.array(words(...universalTeeth), { minLength: 1, maxLength: 4 }) }),
        ),
        'filmSpeed?': words('D', 'E', 'F'), 'filmSize?': words(...filmSizes), 'lot?': numbered('LOT-', 5),
        'patientSize?': words('child', 'small', 'adult', 'large'), 'holder?': flag, 'packet?': words('single', 'double'),
        'purpose?': words('patient', 'working', 'test'), 'ordered?': flag, 'patient?': fc.string({ minLength: 1, maxLength: 12 }).filter((text) => !text.includes('\0')),
        'retakeOf?': film, ...staff,
      }),
      exposed,
    ),
    'film.reviewed': merged(
      fc.oneof(fields({ film }), fields({ run: numbered('e-', 60) })),
      fields({
        'grade?': words('excellent', 'acceptable', 'unacceptable'), signs: fc.uniqueArray(words(...signs), { maxLength: 3 }),
        'extent?': words('film', 'some', 'run'), 'retake?': words('none', 'ordered'), 'salvaged?': flag, ...staff,
      }),
    ),
    'films.tallied': fields({
      exposures: fc.integer({ min: 0, max: 80 }),
      rejects: fc.uniqueArray(fields({ 'sign?': words(...signs), count: fc.integer({ min: 1, max: 5 }) }), { maxLength: 3, selector: (one) => one.sign }),
      ...staff,
    }),
    'films.mounted': fields({
      mount: numbered('mount-', 9), layout: words('FMX18', 'FMX20', 'PA14'),
      slots: fc.uniqueArray(
        fields({ slot: words('MX_MOL_R', 'MX_CEN', 'MD_CEN', 'BW_MOL_L'), 'film?': film, 'dot?': words('raised', 'depressed'), 'landmarks?': fc.constant(['maxillary_sinus']) }),
        { minLength: 1, maxLength: 4, selector: (one) => one.slot },
      ),
      'allDots?': words('raised', 'depressed'), 'duplicate?': flag, labelled: fields({ patient: flag, date: flag }), ...staff,
    }),
    'tube.tested': merged(
      fields({ tube, settings: fields({ ...technique, 'time?': time(0.05, 2), 'distance?': quantity('length', 150, 500) }), ...staff }),
      reading,
    ),
    'waste.handedOver': fc.oneof(
      fields({ kind: words('fixer', 'developer'), 'amount?': quantity('volume', 100, 40_000), ...staff }),
      fields({ kind: words('foil', 'film'), 'amount?': quantity('mass', 100, 40_000), ...staff }),
    ),
    'obligation.done': fields({ obligation: words('us-wa-on-hand', 'us-nm-on-hand', 'mn-garment-check'), 'until?': date, ...staff }),
    'inspection.held': fields({ 'items?': fc.constant([{ item: 'post the technique chart', due: '2026-05-01' }]), ...staff }),
    'site.configured': fields({
      name: fc.constant(site.name), zone: words(site.zone, site.zone, 'America/Chicago', 'UTC'), jurisdictions: fc.constant([...site.jurisdictions]),
      lines: fc.tuple(...site.lines.map((one) => flag.map((ended) => (ended ? { ...one, ended } : one)))),
      tubes: fc.constant([...site.tubes]), 'workingDays?': fc.uniqueArray(fc.integer({ min: 1, max: 7 }), { maxLength: 6 }), ...staff,
    }),
    'site.closed': fc.tuple(date, date, fields({ 'line?': line, 'reason?': reason, ...staff })).map(([one, other, rest]) => ({
      ...rest, from: one < other ? one : other, to: one < other ? other : one,
    })),
    'event.retracted': fields({ source: numbered('sender-', 2), id: numbered('e-', 60), reason, ...staff }),
    'finding.acknowledged': merged(target, fields({ 'reason?': reason, ...staff })),
    'finding.snoozed': merged(target, fields({ until: date, reason, ...staff })),
    'finding.resolved': merged(target, fields({ rootCause: reason, action: reason, ...staff })),
    'cause.confirmed': merged(target, fields({ rootCause: words('dev_cold', 'dev_time_short'), 'action?': reason, ...staff })),
  }; // prettier-ignore
}

/** One instant in one of the ways a sender may write it. */
function written(at: number, zone: number): string {
  if (zone === 0) return new Date(at).toISOString();
  const sign = zone < 0 ? '-' : '+';
  const [hours, minutes] = [Math.floor(Math.abs(zone) / 60), Math.abs(zone) % 60].map((part) =>
    String(part).padStart(2, '0'),
  );
  return `${new Date(at + zone * 60_000).toISOString().slice(0, -1)}${sign}${hours}:${minutes}`;
}

/** A valid event as an office would send it. Many share an instant: logs are kept to the minute. */
export function arbitraryEvent(site: SiteConfig, options: GenerateOptions = {}): fc.Arbitrary<SentEvent> {
  const { siteId = 'office', from = Date.UTC(2026, 0, 5), to = Date.UTC(2026, 2, 5), types = eventTypes } = options;
  const data = family(site);
  const minutes = Math.max(0, Math.floor((to - from) / 60_000));
  const at = fc.integer({ min: 0, max: minutes }).map((minute) => from + minute * 60_000);
  return words(...types).chain(
    (type) =>
    fc
      .record({
        id: numbered('e-', 60),
        source: numbered('sender-', 2),
        at,
        zone: words(0, -480, -300, 330),
        subject: fc.option(words('M1', 'R1'), { nil: undefined }),
        data: data[type],
      })
      .map(({ id, source, at, zone, subject, data }) => ({
        specversion: '1.0' as const, id, source, type, time: written(at, zone), site: siteId, ...(subject ? { subject } : {}), data,
      })), // prettier-ignore
  );
}

/**
 * Events with ids of their own, in no order. Every retraction but a few names an event of the same list, so that
 * retracting is tried and not only refused.
 */
export function arbitraryHistory(
  site: SiteConfig,
  options: GenerateOptions & { readonly min?: number; readonly max?: number } = {},
): fc.Arbitrary<SentEvent[]> {
  const { min = 0, max = 40 } = options;
  return fc.array(fc.tuple(arbitraryEvent(site, options), fc.nat()), { minLength: min, maxLength: max }).map((list) => {
    const events = list.map(([event], at): SentEvent => ({ ...event, id: `e-${at + 1}` }));
    list.forEach(([, pick], at) => {
      const event = events[at];
      const target = events[pick % events.length];
      if (event?.type !== 'event.retracted' || !target || target === event || pick % 8 === 0) return;
      event.data = { ...event.data, source: target.source, id: target.id };
    });
    return events;
  });
}

/** As the fold reads it. Throws when a generated event is not accepted: then the generator is wrong. */
export function decoded(event: SentEvent): AnyEvent {
  const result = decode(event, {
    now: Date.UTC(2100, 0, 1),
    hashPatient: (token) => `h${Buffer.from(token).toString('hex')}`,
  });
  if (!result.ok) throw new Error(`${event.type}: ${JSON.stringify(result.faults)} in ${JSON.stringify(event)}`);
  return result.event;
}

/** A valid event as the fold reads it. */
export function arbitraryLedgerEvent(site: SiteConfig, options: GenerateOptions = {}): fc.Arbitrary<AnyEvent> {
  return arbitraryEvent(site, options).map(decoded);
}

/** A site with a line of each method, for tests that have none of their own. */
export const exampleSite: SiteConfig = {
  name: 'Brackenfold',
  zone: 'America/Los_Angeles',
  jurisdictions: ['us', 'us-wa'],
  lines: [
    { id: 'M1', method: 'manual', chemistry: 'standard' },
    { id: 'A1', method: 'automatic' },
    { id: 'C1', method: 'chairside', chemistry: 'rapid' },
  ],
  tubes: [{ id: 'R1', kind: 'wall' }, { id: 'R2' }],
  workingDays: [1, 2, 3, 4],
};

/** The catalogue's own example of a type, as a whole event. */
export function exampleOf(type: EventType, data?: Record<string, unknown>): SentEvent {
  return {
    specversion: '1.0',
    id: 'e-1',
    source: 'sender-1',
    type,
    time: '2026-01-20T08:20:00-08:00',
    site: 'office',
    data: data ?? (structuredClone(catalogue[type].schema.meta()?.example) as Record<string, unknown>),
  };
}
