import type { AnyEvent } from '../../src/events/event.js';
import { decode } from '../../src/events/decode.js';
import type { Incoming } from '../../src/ledger/results.js';

/** Events of made-up sites, as intake gets them. Local time is UTC here unless a test says otherwise. */

let counter = 0;

export interface Told {
  readonly site?: string;
  readonly source?: string;
  readonly id?: string;
}

/** One event as it comes out of decode. `time` is RFC 3339. */
export function told(type: string, time: string, data: Record<string, unknown>, also: Told = {}): Incoming {
  counter += 1;
  const { site = 'north', source = 'pms', id = `e-${counter}` } = also;
  const read = decode(
    { specversion: '1.0', type, time, site, source, id, datacontenttype: 'application/json', data },
    { now: Date.parse('2030-01-01T00:00:00Z'), hashPatient: (patient) => `hashed-${patient}` },
  );
  if (!read.ok) throw new Error(`${type} is not an event: ${JSON.stringify(read.faults)}`);
  return { event: read.event as AnyEvent, sent: read.sent, hash: read.hash };
}

export function configured(
  also: Told = {},
  time = '2026-01-05T06:00:00Z',
  data: Record<string, unknown> = {},
): Incoming {
  return told(
    'site.configured',
    time,
    {
      name: 'North',
      zone: 'UTC',
      jurisdictions: ['us', 'us-wa'],
      lines: [
        { id: 'M1', method: 'manual', chemistry: 'standard' },
        { id: 'C1', method: 'chairside', chemistry: 'rapid' },
      ],
      tubes: [{ id: 'R1' }],
      ...data,
    },
    also,
  );
}

/** A run of two films, in the developer for so many minutes at so many degrees Fahrenheit. */
export function run(time: string, minutes: number, degrees: number, also: Told = {}): Incoming {
  return told(
    'film.processed',
    time,
    {
      line: 'M1',
      method: 'manual',
      count: 2,
      endpoint: 'timed',
      developer: { time: { value: minutes, unit: 'min' }, temperature: { value: degrees, unit: '[degF]' } },
    },
    also,
  );
}

export function strip(time: string, steps: number, also: Told = {}): Incoming {
  const difference = steps === 0 ? { steps } : { steps, direction: 'lighter' };
  return told('stepwedge.read', time, { line: 'M1', difference }, also);
}

export function takenBack(time: string, target: Incoming, also: Told = {}): Incoming {
  const { source, id } = target.event;
  return told('event.retracted', time, { source, id, reason: 'typed for the wrong line' }, also);
}
