import { DateTime } from 'luxon';
import type { Office } from './offices.js';

/** A CloudEvents 1.0 object in structured mode, as an office would send it. */
export interface SentEvent {
  readonly specversion: '1.0';
  readonly id: string;
  readonly source: string;
  readonly type: string;
  /** RFC 3339 with the office's offset at that instant. */
  readonly time: string;
  readonly site: string;
  readonly datacontenttype: 'application/json';
  readonly data: Readonly<Record<string, unknown>>;
}

/** A value with its UCUM unit, as events carry it. */
export interface Sent {
  readonly value: number;
  readonly unit: string;
}
export const fahrenheit = (value: number): Sent => ({ value, unit: '[degF]' });
export const celsius = (value: number): Sent => ({ value, unit: 'Cel' });
export const seconds = (value: number): Sent => ({ value, unit: 's' });

/** "3:30" as people write it, in minutes. */
export function minutes(clock: string): Sent {
  const [whole = '0', rest = '0'] = clock.split(':');
  return { value: Number(whole) + Number(rest) / 60, unit: 'min' };
}

/** The instant of a local date and time at an office; throws when the clocks skip it. */
export function localTime(office: Office, local: string): DateTime<true> {
  const time = DateTime.fromISO(local, { zone: office.config.zone });
  if (!time.isValid || time.toFormat("yyyy-MM-dd'T'HH:mm") !== local.slice(0, 16)) {
    throw new Error(`${local} is not a local time in ${office.config.zone}`);
  }
  return time;
}

export interface Run {
  readonly films?: readonly string[];
  readonly count?: number;
  readonly time: Sent;
  readonly temperature?: Sent;
  readonly fixer?: Sent;
  readonly wash?: Sent;
  readonly rinse?: Sent;
  readonly purpose?: 'patient' | 'working' | 'test';
  readonly method?: 'manual' | 'automatic' | 'chairside';
  readonly by?: string;
}

/**
 * Tells what happened at one office, in the words of the event catalogue and in local time. Ids are made of the
 * chapter, the day, the clock and a counter, so that the same story always has the same ids.
 */
export class Teller {
  readonly events: SentEvent[] = [];
  private readonly used = new Map<string, number>();

  constructor(
    readonly office: Office,
    readonly chapter: string,
  ) {}

  /** Adds one event at a local time (`2026-07-13T07:50`) and gives its id. */
  tell(local: string, type: string, data: Readonly<Record<string, unknown>>): string {
    const stem = `${this.chapter}-${local.slice(5).replaceAll(/[-:]/g, '').replace('T', '-')}`;
    const nth = (this.used.get(stem) ?? 0) + 1;
    this.used.set(stem, nth);
    const id = `${stem}-${nth}`;
    this.events.push({
      specversion: '1.0',
      id,
      source: `office/${this.office.id}`,
      type,
      time: localTime(this.office, local).toISO({ suppressMilliseconds: true }),
      site: this.office.id,
      datacontenttype: 'application/json',
      data,
    });
    return id;
  }

  /** The office's set-up, in force from then on. */
  configured(local: string): string {
    return this.tell(local, 'site.configured', { ...this.office.config });
  }

  /** A change of chemistry: one event a bath. */
  changed(
    local: string,
    line: string,
    baths: readonly string[],
    more: Readonly<Record<string, unknown>> = {},
  ): string[] {
    return baths.map((bath) => this.tell(local, 'chemistry.changed', { line, bath, kind: 'standard', ...more }));
  }

  /** The developer topped up with replenisher; what is done for the fixer is seldom written down. */
  replenished(local: string, line: string, by = 'op-1'): string {
    return this.tell(local, 'chemistry.replenished', { line, bath: 'developer', with: 'replenisher', by });
  }

  /** One reading a bath, all at one time. */
  measured(local: string, line: string, baths: Readonly<Record<string, Sent>>, by?: string): void {
    for (const [bath, temperature] of Object.entries(baths)) {
      this.tell(local, 'bath.measured', { line, bath, temperature, ...(by ? { by } : {}) });
    }
  }

  /** A wedge strip against its reference film; none or equal is 0 steps. */
  strip(local: string, line: string, steps = 0, direction?: 'lighter' | 'darker', note?: string): string {
    const difference = direction ? { steps, direction } : { steps };
    return this.tell(local, 'stepwedge.read', { line, difference, ...(note ? { note } : {}) });
  }

  run(local: string, line: string, run: Run): string {
    const { films, count, time, temperature, fixer, wash, rinse, purpose = 'patient', method = 'manual', by } = run;
    return this.tell(local, 'film.processed', {
      line,
      method,
      ...(films ? { films } : { count }),
      purpose,
      endpoint: 'timed',
      developer: { ...(temperature ? { temperature } : {}), time },
      ...(rinse ? { rinse: { time: rinse } } : {}),
      ...(fixer ? { fixer: { time: fixer } } : {}),
      ...(wash ? { wash: { time: wash } } : {}),
      ...(by ? { by } : {}),
    });
  }

  exposed(local: string, film: string, tube: string, more: Readonly<Record<string, unknown>> = {}): string {
    return this.tell(local, 'film.exposed', { film, tube, purpose: 'patient', filmSpeed: 'F', ...more });
  }

  reviewed(
    local: string,
    subject: { film: string } | { run: string },
    more: Readonly<Record<string, unknown>>,
  ): string {
    return this.tell(local, 'film.reviewed', { ...subject, signs: [], ...more });
  }
}
