import type { Response } from 'express';
import { Problem } from './problems.js';

/**
 * Who is inside: the requests in progress. Beyond a cap further ones are sent away at once; when the server stops,
 * those inside are finished and no other is begun.
 */
export class Gate {
  readonly #most: number;
  readonly #inside = new Set<Response>();
  #stopping = false;

  constructor(most = 1000) {
    this.#most = most;
  }

  get inside(): number {
    return this.#inside.size;
  }

  /** @param always let in whatever the number, as what tells of the server's health is. @throws Problem */
  enter(response: Response, always: boolean): void {
    if (this.#stopping) {
      const headers = { 'Retry-After': '5', Connection: 'close' };
      throw new Problem('unavailable', 'The server is stopping.', { headers });
    }
    if (!always && this.#inside.size >= this.#most) {
      const detail = `${this.#inside.size} requests are in progress; the cap is ${this.#most}.`;
      throw new Problem('overloaded', detail, { headers: { 'Retry-After': '1' } });
    }
    this.#inside.add(response);
    response.once('close', () => this.#inside.delete(response));
  }

  /** From now on nobody is let in, and whoever is inside is asked not to come back on the same connection. */
  stop(): void {
    this.#stopping = true;
    for (const response of this.#inside) {
      if (!response.headersSent) response.setHeader('Connection', 'close');
    }
  }
}
