import pg from 'pg';

/**
 * When a process shall die by its own hand: at the n-th statement that is `statement`, or holds it if that is one line: `before` it is sent,
 * `sent` a moment after that, while the database is at work on it, `answered` when its answer has come.
 */
export interface Fuse {
  readonly statement: string;
  readonly nth: number;
  readonly when: 'before' | 'sent' | 'answered';
  /** For `sent`: ms after it was sent. */
  readonly delay: number;
}

type Query = (this: pg.Client, ...args: unknown[]) => unknown;

/** Every statement of the process goes through node-postgres, those of the migration and of the embedded database too. */
export function lay(fuse: Fuse, say: (line: string) => void): void {
  const die = (): void => {
    say(`fuse ${fuse.when} ${fuse.statement}`);
    process.kill(process.pid, 'SIGKILL');
  };
  // node-postgres declares `query` by many overloads; here only that it is called matters.
  const prototype = pg.Client.prototype as unknown as { query: Query };
  const original = prototype.query;
  let left = fuse.nth;
  prototype.query = function (...args) {
    const [first] = args;
    const text = typeof first === 'string' ? first : (first as { text?: string } | undefined)?.text;
    const whole = fuse.statement.includes('\n');
    const meant = whole ? text === fuse.statement : text?.includes(fuse.statement) === true;
    if (!meant || --left !== 0) return original.apply(this, args);
    if (fuse.when === 'before') die();
    const answer = original.apply(this, args);
    if (fuse.when === 'sent') setTimeout(die, fuse.delay);
    else void (answer as Promise<unknown>).then(die, die);
    return answer;
  };
}
