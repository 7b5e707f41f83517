import { catalogue, type EventType } from '../events/catalogue.js';
import { contentHash } from '../events/decode.js';
import { type ChainEnd, chainFault } from '../findings/audit.js';
import { follows } from '../ledger/admin-audit.js';
import { textHash } from '../ledger/publish.js';
import { kinds, type Kind, type Line, type LineOf } from './lines.js';

/** Lines before the last, by kind. */
export type Counts = Record<Exclude<Kind, 'end'>, number>;
export const countedKinds = kinds.filter((kind) => kind !== 'end');

interface SiteAccount {
  readonly head: LineOf<'site'>;
  events: number;
  chain: ChainEnd;
}

/**
 * Whether the lines of an organisation belong together: each event is what its hash says, each row of the trails follows
 * the one before, and of every site there is as much as its head says. The same is asked of what goes out and of what
 * comes in: an export that could not be imported again is noticed when it is made.
 */
export class Account {
  readonly counts: Counts = Object.fromEntries(countedKinds.map((kind) => [kind, 0])) as Counts;
  #admin: ChainEnd = { seq: 0, hash: '' };
  #packs = 0;
  #site: SiteAccount | undefined;

  /** Take the next line into account. @returns what is wrong with it, if something is. */
  add(line: Line): string | undefined {
    if (line.kind !== 'end') this.counts[line.kind] += 1;
    switch (line.kind) {
      case 'admin': {
        if (!follows(this.#admin, line)) return `row ${line.seq} of the trail of administration does not hold`;
        this.#admin = line;
        return undefined;
      }
      case 'pack':
        return this.#packFault(line);
      case 'site': {
        const fault = this.#closeSite();
        this.#site = { head: line, events: 0, chain: { seq: 0, hash: '' } };
        return fault;
      }
      case 'event':
        return this.#ofSite(line, (site) => {
          site.events += 1;
          return eventFault(line);
        });
      case 'finding':
        return this.#ofSite(line, () => undefined);
      case 'change':
        return this.#ofSite(line, (site) => {
          const fault = chainFault(site.chain, line);
          site.chain = line;
          return fault && `row ${line.seq} of the audit trail of site ${line.site} does not hold: ${fault}`;
        });
      case 'rejected':
      case 'end':
        return this.#closeSite();
      default:
        return undefined;
    }
  }

  /** Packs follow one another without a gap, before the first site: sites are judged by them. */
  #packFault({ number, pack, version, hash, content }: LineOf<'pack'>): string | undefined {
    const named = `version ${version} of the pack ${pack}`;
    if (this.counts.site > 0) return `${named} must come before the first site`;
    if (number !== (this.#packs += 1)) return `${named} is publication ${number}, but ${this.#packs} was to follow`;
    return textHash(content) === hash ? undefined : `${named} is not what its hash says`;
  }

  #ofSite(
    { kind, site }: { readonly kind: Kind; readonly site: string },
    check: (site: SiteAccount) => string | undefined,
  ): string | undefined {
    if (this.#site?.head.site !== site)
      return `a line of kind ${kind} of site ${site} must follow the line of that site`;
    return check(this.#site);
  }

  #closeSite(): string | undefined {
    if (this.#site === undefined) return undefined;
    const { head, events, chain } = this.#site;
    this.#site = undefined;
    if (events !== head.events)
      return `site ${head.site} has ${head.events} events, but ${events} came before this line`;
    if (chain.seq !== head.audit_seq || chain.hash !== head.audit_hash)
      return `the audit trail of site ${head.site} ends at row ${head.audit_seq}, but came to row ${chain.seq} before this line`;
    return undefined;
  }
}

function eventFault({ site, type, at, rank, subject, data, hash, source, id }: LineOf<'event'>): string | undefined {
  const named = `event ${id} of ${source}`;
  if (!Object.hasOwn(catalogue, type)) return `${named} is of type ${type}, which this release does not know`;
  if (rank !== catalogue[type as EventType].rank) return `${named} has rank ${rank}, which is not that of ${type}`;
  if (contentHash({ site, type, at, subject: subject ?? undefined, data }) !== hash)
    return `${named} is not what its hash says`;
  return undefined;
}
