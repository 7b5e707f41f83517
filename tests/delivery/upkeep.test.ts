import { describe, expect, test } from '@jest/globals';
import type { Database, Transaction } from '../../src/db/port.js';
import { Upkeep } from '../../src/delivery/upkeep.js';

const start = Date.UTC(2026, 10, 25);
const hour = 3_600_000;

/** A database that answers the one statement of the job, or fails as told. */
function counted(kind: Database['kind'], answers: (() => unknown)[]) {
  const asked: unknown[][] = [];
  const withOrganisation = <T>(_: string, work: (tx: Transaction) => Promise<T>) =>
    work({
      query: (_sql: string, ...values: unknown[]) => {
        asked.push(values);
        return Promise.resolve().then(() => [{ made: (answers.shift() ?? (() => []))() }]);
      },
    } as unknown as Transaction);
  const database = { kind, withOrganisation } as unknown as Database;
  const said: string[] = [];
  const say = (_: object, message: string) => void said.push(message);
  let now = start;
  const upkeep = new Upkeep({ database, now: () => now, log: { info: say, warn: say, error: say } });
  return { asked, said, at: (later: number) => ((now = start + later), upkeep.whenDue()) };
}

describe('the months of the ledger', () => {
  test('are arranged at the start and once a day', async () => {
    const job = counted('postgresql', [() => ['event_2026_11']]);
    for (let later = 0; later < 49; later++) await job.at(later * hour);
    expect(job.asked).toHaveLength(3);
    expect(job.said).toEqual(['Months of the ledger got their own parts.']);
    const [back, ahead] = job.asked[0] as number[];
    expect(new Date(back ?? 0).getUTCFullYear()).toBe(2016);
    expect(new Date(ahead ?? 0).toISOString().slice(0, 7)).toBe('2027-02');
  });

  test('are tried again in ten minutes when the ledger is held, or after an error, which goes no further', async () => {
    const fail = (error: object) => () => {
      throw error;
    };
    const job = counted('postgresql', [
      fail(Object.assign(new Error('lock'), { code: '55P03' })),
      fail(new Error('gone')),
    ]);
    for (const later of [0, 5, 10, 15, 20, 25]) await job.at(later * 60_000);
    expect(job.asked).toHaveLength(3);
    expect(job.said).toHaveLength(2);
  });

  test('are left alone on the embedded database', async () => {
    const job = counted('embedded', []);
    await job.at(0);
    expect(job.asked).toEqual([]);
  });
});
