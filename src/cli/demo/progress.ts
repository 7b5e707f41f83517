import { thousands, type Out } from './layout.js';

/** How far the posting is: one line that is written over on a terminal, a few lines anywhere else. */
export class Progress {
  readonly #started = performance.now();
  #quarters = 0;

  constructor(
    readonly out: Out,
    readonly total: number,
  ) {}

  /** @param now where in the story the last event stands, for people. */
  posted(count: number, now: string): void {
    const rate = Math.round(count / Math.max(0.001, this.seconds()));
    const text = `  ${thousands(count).padStart(6)} of ${thousands(this.total)} events   ${thousands(rate)}/s   ${now}`;
    const quarters = Math.floor((4 * count) / this.total);
    if (this.out.isTTY === true) this.out.write(`\r\u001b[K${text}`);
    else if (quarters > this.#quarters) this.out.write(`${text}\n`);
    this.#quarters = quarters;
  }

  done(): void {
    if (this.out.isTTY === true) this.out.write('\r\u001b[K');
  }

  seconds(): number {
    return (performance.now() - this.#started) / 1000;
  }
}
