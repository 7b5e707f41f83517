import http from 'node:http';
import type { SentEvent } from './days.js';

export interface Target {
  readonly url: string;
  readonly key?: string;
}

/** One body a request; each list is sent by one connection, one request after another, as an office's program would. */
export type Plan = readonly (readonly (readonly SentEvent[])[])[];

/** Each sender's events cut into requests of `size`. */
export function planOf(senders: readonly (readonly SentEvent[])[], size: number): Plan {
  return senders.map((events) => {
    const requests: SentEvent[][] = [];
    for (let at = 0; at < events.length; at += size) requests.push(events.slice(at, at + size));
    return requests;
  });
}

/** Sends everything over kept connections. @returns the seconds it took. @throws when an answer is not a success. */
export async function send(target: Target, plan: Plan): Promise<number> {
  const agent = new http.Agent({ keepAlive: true, maxSockets: plan.length });
  const bodies = plan.map((requests) =>
    requests.map((events) => Buffer.from(JSON.stringify(events.length === 1 ? events[0] : events))),
  );
  const start = process.hrtime.bigint();
  await Promise.all(
    bodies.map(async (requests) => {
      for (const body of requests) await post(target, agent, body);
    }),
  );
  const seconds = Number(process.hrtime.bigint() - start) / 1e9;
  agent.destroy();
  return seconds;
}

function post({ url, key }: Target, agent: http.Agent, body: Buffer): Promise<void> {
  return new Promise((resolve, reject) => {
    const headers = {
      'content-type': 'application/json',
      'content-length': body.length,
      ...(key === undefined ? {} : { authorization: `Bearer ${key}` }),
    };
    const request = http.request(`${url}/v1/events`, { method: 'POST', agent, headers }, (response) => {
      const parts: Buffer[] = [];
      response.on('data', (part: Buffer) => parts.push(part));
      response.on('end', () => {
        const text = Buffer.concat(parts).toString();
        if ((response.statusCode ?? 500) < 300 && !text.includes('"rejected"')) resolve();
        else reject(new Error(`${response.statusCode}: ${text.slice(0, 500)}`));
      });
    });
    request.on('error', reject);
    request.end(body);
  });
}
