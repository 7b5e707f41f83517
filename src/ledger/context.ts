import type { Database } from '../db/port.js';
import { Traces } from '../findings/traces.js';
import type { PackBook } from '../packs/book.js';
import { Books } from './books.js';
import { engineFold, type Fold, watched } from './fold.js';
import { SiteCache } from './site-cache.js';

/** Structured lines, as pino writes them. */
export interface Log {
  info(fields: object, message: string): void;
  warn(fields: object, message: string): void;
  error(fields: object, message: string): void;
}

/** Running totals of this process, for /metrics. */
export interface LedgerCounters {
  accepted: number;
  duplicates: number;
  rejected: number;
  commits: number;
  /** Transactions tried again after a conflict, and batches taken apart after an error. */
  retries: number;
  splits: number;
  /** Whole folds of a site: after a late event or a retraction, for other packs, or because no state was at hand. */
  replays: number;
  /** Events that these read. */
  replayedEvents: number;
  /** Replays that met the state of a checkpoint and stopped there. */
  replaysMet: number;
  foldFailures: number;
  sweeps: number;
}

/** What intake, sweeper and readers of one process share. */
export interface Ledger {
  readonly database: Database;
  readonly books: Books;
  readonly fold: Fold;
  readonly cache: SiteCache;
  readonly traces: Traces;
  readonly now: () => number;
  readonly log: Log;
  readonly counters: LedgerCounters;
  /** Longest ledger (events) that is replayed while its sender waits; longer ones are replayed in the background. */
  readonly replayInline: number;
  /** Events between two checkpoints at the end of a ledger. */
  readonly spacing: number;
}

export interface LedgerParts {
  readonly database: Database;
  /** Of the packs that every organisation is judged by. */
  readonly book: PackBook;
  readonly now?: () => number;
  readonly log?: Log;
  readonly fold?: Fold;
  readonly traces?: Traces;
  /** Folded sites kept in memory. */
  readonly cachedSites?: number;
  /** Bytes that they take at most, about. */
  readonly stateMemory?: number;
  readonly replayInline?: number;
  readonly spacing?: number;
}

export function createLedger(parts: LedgerParts): Ledger {
  const log = parts.log ?? silent;
  const traces = parts.traces ?? new Traces({ warn: (message) => log.error({}, message) });
  return {
    database: parts.database,
    books: new Books(parts.book, (fields, message) => log.error(fields, message)),
    fold: watched(parts.fold ?? engineFold, () => traces.probe()),
    cache: new SiteCache(parts.cachedSites, parts.stateMemory),
    traces,
    now: parts.now ?? Date.now,
    log,
    counters: {
      accepted: 0,
      duplicates: 0,
      rejected: 0,
      commits: 0,
      retries: 0,
      splits: 0,
      replays: 0,
      replayedEvents: 0,
      replaysMet: 0,
      foldFailures: 0,
      sweeps: 0,
    },
    replayInline: parts.replayInline ?? 5000,
    spacing: parts.spacing ?? 200,
  };
}

const silent: Log = { info: () => undefined, warn: () => undefined, error: () => undefined };
