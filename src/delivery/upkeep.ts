import { arrangeMonths } from '../db/partitions.js';
import type { Ledger } from '../ledger/context.js';

const minute = 60_000;
const day = 86_400_000;

/**
 * Upkeep of what grows with time: once at the start and once a day the months around now get their own parts of the
 * ledger. Only on PostgreSQL: the embedded database is one office's, whose ledger of ten years is smaller than what
 * parting it would cost. Several processes may do it; one of them does.
 */
export class Upkeep {
  readonly #ledger: Pick<Ledger, 'database' | 'now' | 'log'>;
  #next = -Infinity;

  constructor(ledger: Pick<Ledger, 'database' | 'now' | 'log'>) {
    this.#ledger = ledger;
  }

  /** Does what is due; a failure is logged and tried again, since intake needs none of it. */
  async whenDue(): Promise<void> {
    const { database, now, log } = this.#ledger;
    if (database.kind !== 'postgresql' || now() < this.#next) return;
    this.#next = now() + day;
    try {
      const arranged = await arrangeMonths(database, now());
      if ('busy' in arranged) {
        this.#next = now() + 10 * minute;
        log.info({}, 'The ledger is in use by a long transaction; its months are arranged in ten minutes.');
      } else if (arranged.made.length > 0) {
        log.info({ parts: arranged.made }, 'Months of the ledger got their own parts.');
      }
    } catch (error) {
      this.#next = now() + 10 * minute;
      log.error({ err: error }, 'The months of the ledger could not be arranged; events are accepted all the same.');
    }
  }
}
