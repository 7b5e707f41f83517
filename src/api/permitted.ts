import type { EventFault, Incoming } from '../ledger/results.js';
import { hasScope, type Key, maySendAs, mayUseSite, ownSource } from './keys.js';
import type { Read, Services } from './services.js';

/** What the key may not send is refused like any other event: the rest of its batch goes in. */
export function permitted(key: Key, read: Read): Read {
  if (!read.ok) return read;
  const { event } = read.incoming;
  const { name } = key;
  if (!mayUseSite(key, event.site))
    return refuse(event, '/site', `The key “${name}” is not for the site ${event.site}`);
  if (!maySendAs(key, event.source))
    return refuse(event, '/source', `The key “${name}” is not for the sender ${event.source}`);
  if (event.source === ownSource)
    return refuse(
      event,
      '/source',
      `must not be ${ownSource}, which is the server itself; send under a name of your own`,
    );
  if (needsFindings(event.type) && !hasScope(key, 'findings:write'))
    return refuse(event, '/type', `The key “${name}” lacks the scope findings:write, which ${event.type} needs`);
  if (event.type === 'event.retracted' && !maySendAs(key, event.data.source)) {
    const message = `The key “${name}” is not for the sender ${event.data.source}, and takes back only what its own senders sent`;
    return refuse(event, '/data/source', message);
  }
  return key.sites === null ? read : { ok: true, incoming: { ...read.incoming, sees: key.sites } };
}

/**
 * Taking back needs the scope that sending needed. What is not in the ledger yet has no type to be judged by: it may be
 * taken back before it arrives (law L4).
 */
export async function permittedRetractions(
  services: Services,
  key: Key,
  reads: readonly Read[],
): Promise<readonly Read[]> {
  if (hasScope(key, 'findings:write')) return reads;
  const targets = reads.flatMap((read) => {
    if (!read.ok || read.incoming.event.type !== 'event.retracted') return [];
    const { site, data } = read.incoming.event;
    return [{ site, source: data.source, id: data.id }];
  });
  if (targets.length === 0) return reads;
  const known = await services.events.find(key.organisation, targets);
  const types = new Map(known.map(({ site, source, id, type }) => [JSON.stringify([site, source, id]), type]));
  return reads.map((read) => {
    if (!read.ok || read.incoming.event.type !== 'event.retracted') return read;
    const { event } = read.incoming;
    const type = types.get(JSON.stringify([event.site, event.data.source, event.data.id]));
    if (type === undefined || !needsFindings(type)) return read;
    const message = `The key “${key.name}” lacks the scope findings:write, which taking back ${type} needs`;
    return refuse(event, '/data/id', message);
  });
}

function needsFindings(type: string): boolean {
  return type.startsWith('finding.') || type === 'cause.confirmed';
}

function refuse({ source, id, site, type }: Incoming['event'], pointer: string, message: string): Read {
  const faults: EventFault[] = [{ pointer, code: 'forbidden', message }];
  return { ok: false, refusal: { source, id, site, type, faults } };
}
