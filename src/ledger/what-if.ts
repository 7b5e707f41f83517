import { setImmediate } from 'node:timers/promises';
import type { Database } from '../db/port.js';
import { countEvents, readCrowd } from '../db/sql/crowd.js';
import type { AnyEvent } from '../events/event.js';
import { type Edition } from '../packs/book.js';
import type { Pack } from '../packs/model.js';
import { type Crowd, type OneSite, Trial, tried, type WhatIf } from '../trials/what-if/index.js';
import { checkpointsOf, startingPoint, stateOf } from './checkpoints.js';
import { engineFold } from './fold.js';
import { fetchHeads, type SiteHead } from './heads.js';
import { judgedBy } from './judged-by.js';
import { listSites } from './queries.js';
import { ledgerPages, type LedgerRange, type Reading, retractedKeys } from './read.js';
import { counts } from './replay.js';

export interface WhatIfRequest {
  /** The editions of the organisation's book as it is. */
  readonly present: readonly Edition[];
  /** Each takes the place of every text of its id. */
  readonly packs: readonly Pack[];
  /** Left out: all. */
  readonly sites?: readonly string[] | undefined;
  /** With no sites named: those of these that are there. */
  readonly within?: readonly string[] | undefined;
  /** From when on the packs stand (ms); left out: as though they always had. */
  readonly from?: number | undefined;
  /** Up to when (ms). */
  readonly to: number;
  /** Events that may be read at most. */
  readonly most?: number | undefined;
  /** Asked between two stretches of work: whether anybody still wants the answer. */
  readonly goOn?: (() => boolean) | undefined;
  /** Told now and then of the events read. */
  readonly progress?: ((events: number) => void) | undefined;
}

/** A trial that was not made; the message is a sentence. */
export class TrialError extends Error {
  override readonly name = 'TrialError';
  constructor(
    readonly reason: 'unknown-site' | 'too-many-events' | 'busy' | 'stopped',
    message: string,
    /** The sites that are not there. */
    readonly sites: readonly string[] = [],
  ) {
    super(message);
  }
}

/** Events folded before others get their turn. */
const stretch = 200;

/**
 * What would have been found at the sites of an organisation with other packs, up to `to`. Reads and writes nothing; a
 * page at a time, one site after another. Events that arrive meanwhile may be in it or not.
 * @throws TrialError
 */
export async function whatIf(database: Database, organisation: string, request: WhatIfRequest): Promise<WhatIf> {
  const reading: Reading = (work) => database.withOrganisation(organisation, work);
  const { present, packs, from, to, most } = request;
  const trial = new Trial(present, tried(present, packs, from), request.to, from);
  const heads = await headsOf(database, reading, organisation, request);
  if (most !== undefined) await checkSize(reading, organisation, heads, request, most);
  const meter = new Meter(request);
  for (const head of heads) {
    await meter.breathe();
    const start = await startOf(reading, organisation, head, trial, from);
    const crowd = trial.affected.whole ? undefined : await crowdOf(reading, organisation, head, trial, to);
    const retracted = await retractedKeys(reading, organisation, head.site);
    const range = { ...start?.range, until: to };
    const events = () => ahead(ledgerPages(reading, organisation, head.site, range));
    const tryIt = async (every: boolean): Promise<boolean> => {
      const one = trial.site({ start: start?.state, crowd }, every);
      try {
        return await foldAll(one, events(), retracted, to, meter);
      } catch (error) {
        one.drop();
        if (!(error instanceof FoldError)) throw error;
        trial.failed(head.site, error.message);
        return true;
      }
    };
    if (!(await tryIt(false))) await tryIt(true);
  }
  return trial.answer();
}

/** A site could not be folded. */
class FoldError extends Error {}

function folding<T>(work: () => T): T {
  try {
    return work();
  } catch (error) {
    throw new FoldError(error instanceof Error ? error.message : String(error), { cause: error });
  }
}

/** @returns false when the site has to be folded again with every rule. */
async function foldAll(
  one: OneSite,
  pages: AsyncIterable<AnyEvent[]>,
  retracted: ReadonlySet<string>,
  to: number,
  meter: Meter,
): Promise<boolean> {
  for await (const page of pages) {
    for (let begin = 0; begin < page.length; begin += stretch) {
      const some = page.slice(begin, begin + stretch);
      folding(() => {
        for (const event of some) if (counts(event, retracted)) one.step(event);
      });
      if (one.isCrowded()) {
        one.drop();
        return false;
      }
      await meter.add(some.length);
    }
    one.settle();
  }
  folding(() => one.end(to));
  return true;
}

class Meter {
  #events = 0;
  constructor(readonly request: WhatIfRequest) {}

  async add(events: number): Promise<void> {
    this.#events += events;
    const { most, progress } = this.request;
    // A site whose rules had to be folded all together is read twice.
    if (most !== undefined && this.#events > 2 * most) throw tooMany(most);
    progress?.(this.#events);
    await this.breathe();
  }

  /** Others get their turn. @throws TrialError when nobody wants the answer any more. */
  async breathe(): Promise<void> {
    await setImmediate();
    if (this.request.goOn?.() === false) throw new TrialError('stopped', 'Nobody waits for the answer any more.');
  }
}

async function headsOf(
  database: Database,
  reading: Reading,
  organisation: string,
  { sites: asked, within }: WhatIfRequest,
): Promise<SiteHead[]> {
  const names = asked === undefined ? await everySite(database, organisation, within) : [...new Set(asked)].sort();
  const heads = await reading((tx) => fetchHeads(tx, organisation, names, 'none'));
  const unknown = names.filter((name) => !heads.has(name));
  if (asked !== undefined && unknown.length > 0)
    throw new TrialError('unknown-site', `There is no site ${unknown.join(', ')}.`, unknown);
  return names.flatMap((name) => heads.get(name) ?? []);
}

async function everySite(
  database: Database,
  organisation: string,
  within: readonly string[] | undefined,
): Promise<string[]> {
  const names: string[] = [];
  for (let cursor: string | undefined, more = true; more;) {
    const page = await listSites(database, organisation, within, { limit: 500, cursor });
    names.push(...page.items.map(({ id }) => id));
    cursor = page.next;
    more = cursor !== undefined;
  }
  return names;
}

async function checkSize(
  reading: Reading,
  organisation: string,
  heads: readonly SiteHead[],
  { from, to }: WhatIfRequest,
  most: number,
): Promise<void> {
  if (heads.reduce((sum, { events }) => sum + events, 0) <= most) return;
  const sites = JSON.stringify(heads.map(({ site }) => site));
  const first = from ?? Number.MIN_SAFE_INTEGER;
  const rows = await reading((tx) =>
    tx.query<{ events: number }>(countEvents, organisation, sites, first, to, most + 1),
  );
  if ((rows[0]?.events ?? 0) > most) throw tooMany(most);
}

function tooMany(most: number): TrialError {
  const message = `These sites have more than ${most.toLocaleString('en')} events in that range: name fewer sites, begin later (from), or run \`stepwedge packs what-if\` on the server, which has no such cap.`;
  return new TrialError('too-many-events', message);
}

/** Before the packs begin both folds are one: the newest checkpoint before that will do for both. */
async function startOf(
  reading: Reading,
  organisation: string,
  { site }: SiteHead,
  { present }: Trial,
  from: number | undefined,
): Promise<{ readonly state: string; readonly range: LedgerRange } | undefined> {
  if (from === undefined) return undefined;
  const known = await checkpointsOf(reading, organisation, site);
  const judge = { fold: engineFold, book: present };
  const checkpoint = startingPoint(known, judge, { at: from, rank: -1, source: '', id: '' });
  const state = checkpoint && (await stateOf(reading, organisation, site, checkpoint));
  return state === undefined ? undefined : { state, range: { after: checkpoint } };
}

/**
 * What the rules that are not folded have found: the stored findings, where they are those of the present packs and up
 * to date.
 */
async function crowdOf(
  reading: Reading,
  organisation: string,
  head: SiteHead,
  { present, affected }: Trial,
  to: number,
): Promise<Crowd | undefined> {
  const judge = { fold: engineFold, book: present };
  if (head.unjudged !== null || head.packs_hash !== judgedBy(judge)) return undefined;
  if (head.next_due !== null && head.next_due <= to) return undefined;
  const rules = JSON.stringify([...affected.folded]);
  const rows = await reading((tx) => tx.query<Crowd>(readCrowd, organisation, head.site, rules));
  return rows[0];
}

/** The next page is fetched while this one is folded. */
async function* ahead<T>(pages: AsyncGenerator<T>): AsyncGenerator<T> {
  let next = pages.next();
  try {
    for (;;) {
      const { done, value } = await next;
      if (done === true) return;
      next = pages.next();
      yield value;
    }
  } finally {
    // A page that nobody wants any more is waited for, whatever becomes of it.
    await next.catch(() => undefined);
    await pages.return(undefined);
  }
}
