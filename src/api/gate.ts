import type { Socket } from 'node:net';
import type { Response } from 'express';
import { Problem } from './problems.js';

/** Requests in progress on one connection: callers may send ahead, but not without end. */
const mostOfConnection = 20;

/**
 * Who is inside: the requests in progress. Beyond a cap further ones are sent away at once; when the server stops,
 * those inside are finished and no other is begun.
 */
export class Gate {
  readonly #most: number;
  /** By connection: an answer that waits behind others of its connection is not told when that breaks. */
  readonly #inside = new Map<Socket, Set<Response>>();
  #count = 0;
  #stopping = false;

  constructor(most = 1000) {
    this.#most = most;
  }

  get inside(): number {
    return this.#count;
  }

  /** @param always let in however many are, as what tells of the server's health is. @throws Problem */
  enter(response: Response, always: boolean): void {
    const { socket } = response.req;
    const own = this.#inside.get(socket);
    if (this.#stopping) {
      const headers = { 'Retry-After': '5', Connection: 'close' };
      throw new Problem('unavailable', 'The server is stopping.', { headers });
    }
    if (own !== undefined && own.size >= mostOfConnection) {
      const detail = `The cap is ${mostOfConnection} requests in progress on one connection.`;
      throw new Problem('rate-limited', detail, { headers: { 'Retry-After': '1' } });
    }
    if (!always && this.#count >= this.#most) {
      const detail = `${this.#count} requests are in progress; the cap is ${this.#most}.`;
      throw new Problem('overloaded', detail, { headers: { 'Retry-After': '1' } });
    }
    const all = own ?? this.#connection(socket);
    all.add(response);
    this.#count += 1;
    response.once('close', () => {
      if (all.delete(response)) this.#count -= 1;
    });
  }

  /** From now on nobody is let in, and whoever is inside is asked not to come back on the same connection. */
  stop(): void {
    this.#stopping = true;
    for (const responses of this.#inside.values()) {
      // What was sent ahead on the same connection is answered before it closes.
      const last = [...responses].at(-1);
      if (last !== undefined && !last.headersSent) last.setHeader('Connection', 'close');
    }
  }

  #connection(socket: Socket): Set<Response> {
    const all = new Set<Response>();
    this.#inside.set(socket, all);
    socket.once('close', () => {
      this.#inside.delete(socket);
      this.#count -= all.size;
      all.clear();
    });
    return all;
  }
}
