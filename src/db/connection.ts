import type pg from 'pg';
import type { Prisma } from './generated/client.js';
import type { Transaction } from './port.js';
import { prismaOver } from './prisma.js';

/** Statement texts beyond this many are sent unprepared: a text built from data must not fill the server's memory. */
const preparedTexts = 500;
const names = new Map<string, string>();

function statementName(text: string): string | undefined {
  let name = names.get(text);
  if (name === undefined && names.size < preparedTexts) names.set(text, (name = `s${names.size}`));
  return name;
}

/** One pooled connection: its statements one after another, and its Prisma client, made when first asked for. */
export class Connection {
  private last: Promise<unknown> = Promise.resolve();
  private bound: Prisma.TransactionClient | undefined;
  private open = false;

  constructor(private readonly client: pg.ClientBase) {}

  /** `BEGIN`, as the organisation. One round trip: the setting goes into the text, quoted, as SET takes no parameters. */
  async begin(setting: 'stepwedge.organisation' | 'stepwedge.system', value: string, snapshot = false): Promise<void> {
    const begin = snapshot ? 'BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY' : 'BEGIN';
    if (value.includes('\0')) throw new RangeError('The name of an organisation cannot contain a NUL character.');
    await this.client.query(`${begin}; SET LOCAL ${setting} = ${this.client.escapeLiteral(value)}`);
    this.open = true;
  }

  async commit(): Promise<void> {
    await this.settled();
    const result = await this.client.query('COMMIT');
    // PostgreSQL answers ROLLBACK when a statement had failed and its error was swallowed.
    if (result.command === 'ROLLBACK') {
      throw new Error(
        'Nothing was committed: a statement of the transaction had failed and its error was not passed on.',
      );
    }
  }

  async rollback(): Promise<void> {
    await this.settled();
    await this.client.query('ROLLBACK');
  }

  /** What `work` may use until it settles; then every further statement is refused. */
  transaction(): { tx: Transaction; end: () => void } {
    let over = false;
    const run = (sql: string, values: unknown[]) => {
      if (over) return Promise.reject(new Error(ended));
      return this.run({ text: sql, values, name: statementName(sql) });
    };
    const prisma = () => {
      if (over) throw new Error(ended);
      return (this.bound ??= prismaOver((statement) =>
        this.run({ ...statement, name: statementName(statement.text) }),
      ));
    };
    const tx: Transaction = {
      query: async <Row>(sql: string, ...values: unknown[]) => (await run(sql, values)).rows as Row[],
      execute: async (sql, ...values) => (await run(sql, values)).rowCount ?? 0,
      get prisma() {
        return prisma();
      },
    };
    return { tx, end: () => (over = true) };
  }

  /** Node-postgres wants one statement at a time; callers may use Promise.all. */
  private run(statement: pg.QueryConfig): Promise<pg.QueryResult> {
    if (!this.open) return Promise.reject(new Error(ended));
    const result = this.last.then(() => this.client.query(statement));
    this.last = result.catch(() => undefined);
    return result;
  }

  private async settled(): Promise<void> {
    this.open = false;
    await this.last;
  }
}

const ended = 'The transaction is over: a statement was sent after it, so something was not awaited.';
