/**
 * The one port behind which PostgreSQL and the embedded database stand. Every transaction belongs to one organisation:
 * the port sets it for row-level security, so a query that forgets its organisation reads nothing.
 */
export interface Database {
  readonly kind: 'postgresql' | 'embedded';
  /** Run `work` in one transaction as the unprivileged application role, confined to `organisation`. */
  withOrganisation<T>(organisation: string, work: (tx: Transaction) => Promise<T>): Promise<T>;
  /** The ids of all organisations: for the sweeper and for health. */
  organisations(): Promise<string[]>;
  /** Cheap liveness: resolves, or rejects with the reason. */
  ping(): Promise<void>;
  close(): Promise<void>;
}

/** Raw statements inside one transaction. Values are bound, never spliced into the text. */
export interface Transaction {
  query<Row>(sql: string, ...values: unknown[]): Promise<Row[]>;
  execute(sql: string, ...values: unknown[]): Promise<number>;
}
