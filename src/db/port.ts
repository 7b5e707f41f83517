import type { Prisma } from './generated/client.js';

/**
 * The one port behind which PostgreSQL and the embedded database stand. Every transaction belongs to one organisation:
 * the port sets it for row-level security, so a query that forgets its organisation reads nothing.
 */
export interface Database {
  readonly kind: 'postgresql' | 'embedded';
  /** What a committed transaction survives, in a sentence for /health. */
  readonly durability: string;
  /**
   * Run `work` in one transaction (READ COMMITTED) as the unprivileged application role, confined to `organisation`:
   * committed when `work` resolves, rolled back when it rejects. Never call it inside another transaction, pass `tx` on:
   * that is refused with an error, since on the embedded database it would wait for itself for ever.
   */
  withOrganisation<T>(
    organisation: string,
    work: (tx: Transaction) => Promise<T>,
    options?: TransactionOptions,
  ): Promise<T>;
  /** The ids of all organisations, in order: for the sweeper and for health. */
  organisations(): Promise<string[]>;
  /** Cheap liveness: resolves, or rejects with the reason. */
  ping(): Promise<void>;
  /** Waits for running transactions. */
  close(): Promise<void>;
}

export interface TransactionOptions {
  /** It adds to what is stored: refused with a StorageFullError, before anything is done, when there is no room for more. */
  readonly grows?: boolean;
  /**
   * Try again, three times in all, after a deadlock, a serialisation failure or a lost connection. `work` must bear being
   * run twice, and twice committed: a connection lost during the commit leaves its outcome unknown.
   */
  readonly retry?: boolean;
  /** Every statement sees the database as of the first, and none writes (REPEATABLE READ READ ONLY): for exports. */
  readonly snapshot?: boolean;
}

/** Statements inside one transaction, one at a time; it is dead once `work` has settled. */
export interface Transaction {
  /**
   * A raw statement; `$1`, `$2` ... stand for the values, which are bound, never spliced into the text. Keep texts
   * constant: each is prepared once a connection.
   *
   * Values: text, numbers, bigints, booleans, null, Date; an array becomes a PostgreSQL array. Bind JSON as
   * `JSON.stringify(...)` and write `$1::text::jsonb`: a bare JavaScript array would be taken for a PostgreSQL one.
   *
   * Rows: bigint and numeric columns arrive as numbers (a bigint beyond 2^53 is an error, not a rounding), json and jsonb
   * parsed, timestamptz as Date, xid8 as text. Errors carry the SQLSTATE in `code`; see `errors.ts`.
   */
  query<Row>(sql: string, ...values: unknown[]): Promise<Row[]>;
  /** The same; answers the number of rows touched. */
  execute(sql: string, ...values: unknown[]): Promise<number>;
  /**
   * Typed reads and writes off the hot path, inside this same transaction. Here bigint columns are BigInt and a null
   * array column reads as an empty one.
   */
  readonly prisma: Prisma.TransactionClient;
}
