import { isDeepStrictEqual } from 'node:util';
import type * as z from 'zod';
import type { SiteConfig } from '../../events/site.js';
import { type Key, ownSource } from '../keys.js';
import { Problem } from '../problems.js';
import type { siteBody } from '../schemas/sites.js';
import type { Services } from '../services.js';
import { rfc3339 } from '../time.js';
import { eventProblem, take } from './intake.js';

/** Tries of one request that keeps meeting others for the same site and instant. */
const mostTries = 8;

/**
 * Writes how a site is set up, as the API's own `site.configured`. Two of them at one instant have no order that anybody
 * meant: an earlier one of the API's is taken back in the same transaction. Ids count the words said of an instant, so
 * that of two requests at the same moment only one gets the next; the other looks again.
 * @param present what is in force, or waits for the next site-day.
 * @throws Problem
 */
export async function configure(
  services: Services,
  key: Key,
  site: string,
  { validFrom, timeZone, ...rest }: z.output<typeof siteBody>,
  present: SiteConfig | undefined,
): Promise<void> {
  const data = plain({ ...rest, zone: timeZone }) as object;
  const time = validFrom ?? rfc3339(services.now());
  const reader = await services.events.reader(key.organisation);
  const read = (type: string, id: string, data: object) =>
    reader({ specversion: '1.0', id, source: ownSource, type, time, site, data }, undefined);
  const draft = read('site.configured', 'draft', data);
  if (!draft.ok) return refuse(draft.refusal.faults);
  const { hash, event } = draft.incoming;
  if (validFrom === undefined && present !== undefined && says(event.data, present)) return;
  const words = `${site} ${rfc3339(event.at)}`;
  for (let attempt = 1; attempt <= mostTries; attempt++) {
    const { standing, sent } = await services.sites.configurations(key.organisation, site, event.at);
    if (standing.at(-1)?.hash === hash) return;
    const other = standing.find(({ source }) => source !== ownSource);
    if (other !== undefined) throw taken(site, other);
    const number = (sent.get(ownSource) ?? 0) + 1;
    const { results } = await take(services, key.organisation, [
      ...standing.map(({ source, id }) =>
        read('event.retracted', `taken back: ${id}`, {
          source,
          id,
          reason: 'set up anew for the same instant',
          by: rest.by,
        }),
      ),
      read('site.configured', `configured: ${words} ${number}`, data),
    ]);
    const faults = results.at(-1)?.faults;
    // Taken, and perhaps taken back by somebody before it came (law L4): then under another id.
    if (faults === undefined) continue;
    if (faults[0]?.code !== 'id-conflict') return refuse(faults);
  }
  throw new Problem('conflict', `Others keep setting up the site ${site} for this very instant.`);
}

function taken(site: string, { source, id }: { readonly source: string; readonly id: string }): Problem {
  const detail = `The sender ${source} configured the site ${site} from this very instant too, with its event ${id}. Take that back (event.retracted), or give another validFrom.`;
  return new Problem('conflict', detail, { also: { source, id } });
}

/** @throws Problem that points into the body. */
function refuse(faults: Parameters<typeof eventProblem>[0]): never {
  const errors = faults.map((fault) => ({ ...fault, pointer: inBody(fault.pointer) }));
  const { code, detail } = eventProblem(errors, {});
  throw new Problem(code === 'invalid-event' ? 'invalid-body' : code, detail, { errors });
}

const plain = (value: unknown): unknown => JSON.parse(JSON.stringify(value));

/** Whether a configuration says what is in force already. Who sent it, and their note, is no part of it. */
function says(data: object, present: SiteConfig): boolean {
  const config = (given: object) => plain({ ...given, by: undefined, note: undefined });
  return isDeepStrictEqual(config(data), config(present));
}

/** The pointer into the body of what an event's pointer points at. */
function inBody(pointer: string): string {
  if (pointer === '/time') return '/validFrom';
  return pointer.replace(/^\/data(?=\/|$)/, '').replace(/^\/zone(?=\/|$)/, '/timeZone');
}
