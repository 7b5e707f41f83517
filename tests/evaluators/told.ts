import { DateTime } from 'luxon';
import { decode } from '../../src/events/decode.js';
import type { AnyEvent } from '../../src/events/event.js';
import { asSent } from '../../src/packs/eventFields.js';
import type { Pack, RuleTest } from '../../src/packs/model.js';

/** The events of a rule's own test at the test site of docs/packs.md, and the instant it looks at, ms. */
export function told(pack: Pack, test: RuleTest): { readonly events: AnyEvent[]; readonly until: number | undefined } {
  const own = pack.jurisdiction;
  const site = {
    ...{ name: 'Test office', zone: 'America/New_York', tubes: [{ id: 'R1' }, { id: 'R2' }] },
    jurisdictions: own === undefined || own === 'us' ? ['us'] : ['us', own],
    lines: [
      { id: 'M1', method: 'manual' },
      { id: 'A1', method: 'automatic' },
      { id: 'C1', method: 'chairside', chemistry: 'rapid' },
    ],
    ...test.site,
  };
  const zone = String(site.zone);
  const instant = (time: string) => DateTime.fromISO(time, { zone }).toMillis();
  const first = Math.min(...test.events.map(({ time }) => instant(time)));
  const start = DateTime.fromMillis(first, { zone }).startOf('day').toMillis();
  const sent = [
    { type: 'site.configured', at: start, data: site },
    ...test.events.map(({ type, time, data }) => ({ type, at: instant(time), data: asSent(type, data) })),
  ];
  const events = sent.map(({ type, at, data }, index) => {
    const id = String(index).padStart(4, '0');
    const time = new Date(at).toISOString();
    const answer = decode(
      { specversion: '1.0', type, source: 'test', id, time, site: 'test', data },
      { now: at, hashPatient: (token) => token },
    );
    if (!answer.ok) throw new Error(`${test.name}: ${JSON.stringify(answer.faults)}`);
    return answer.event as AnyEvent;
  });
  return { events, until: test.until === undefined ? undefined : instant(test.until) };
}
