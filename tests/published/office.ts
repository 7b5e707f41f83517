import { fileURLToPath } from 'node:url';
import type { Finding } from '../../src/engine/finding.js';
import { decode } from '../../src/events/decode.js';
import type { AnyEvent } from '../../src/events/event.js';
import { PackBook } from '../../src/packs/book.js';
import { loadPacks } from '../../src/packs/load.js';
import type { Pack } from '../../src/packs/model.js';
import { foldSite } from '../../src/trials/fold-site.js';

/** Everything in rules/. */
export const rules: readonly Pack[] = await shippedRules();
export const book = new PackBook(rules);

async function shippedRules(): Promise<readonly Pack[]> {
  const { packs, diagnostics } = await loadPacks(fileURLToPath(new URL('../../rules', import.meta.url)));
  const errors = diagnostics.filter(({ severity }) => severity === 'error');
  if (errors.length > 0) throw new Error(`rules/ has faults: ${JSON.stringify(errors.slice(0, 3))}`);
  return packs;
}

/** Where an office of a state stands, with the zone its law is counted in. */
export const places = {
  'us-wa': 'America/Los_Angeles',
  'us-nm': 'America/Denver',
  'us-mn': 'America/Chicago',
  'us-nd': 'America/Chicago',
} as const;
export type Place = keyof typeof places;

export interface Told {
  readonly type: string;
  /** RFC 3339. */
  readonly time: string;
  readonly data: Readonly<Record<string, unknown>>;
}

/** One manual tank and one chairside box; works every day, so that no weekend stands between a rule and its instant. */
export function office(place: Place, product?: string, since = '2026-01-02T18:00:00Z'): Told {
  return {
    type: 'site.configured',
    time: since,
    data: {
      name: 'Published',
      zone: places[place],
      jurisdictions: ['us', place],
      lines: [
        { id: 'M1', method: 'manual', chemistry: 'standard', ...(product === undefined ? {} : { product }) },
        { id: 'C1', method: 'chairside', chemistry: 'rapid' },
      ],
      tubes: [{ id: 'R1' }],
      workingDays: [1, 2, 3, 4, 5, 6, 7],
    },
  };
}

/** The findings after these events, advanced to `until` when given. */
export function findings(told: readonly Told[], until?: string, among: PackBook = book): Finding[] {
  const events = told.map(({ type, time, data }, index): AnyEvent => {
    const answer = decode(
      { specversion: '1.0', type, source: 'published', id: `e-${index}`, time, site: 'published', data },
      { now: Date.parse('2031-01-01T00:00:00Z'), hashPatient: (patient) => patient },
    );
    if (!answer.ok) throw new Error(`${type}: ${JSON.stringify(answer.faults)}`);
    return answer.event as AnyEvent;
  });
  return [...foldSite(events, among, until === undefined ? undefined : Date.parse(until)).findings.values()];
}
