import http from 'node:http';
import { setTimeout as wait } from 'node:timers/promises';
import { configuration, endlessDays, type SentEvent } from './days.js';
import type { Target } from './load.js';
import { realOf, type SoakClock } from './soak-clock.js';

/** What the senders of all sites saw together. */
export interface Seen {
  accepted: number;
  duplicates: number;
  late: number;
  boards: number;
  /** Answers 429 and 503, each followed by another try. */
  putOff: number;
  /** Connections lost, each followed by another try. */
  lost: number;
  /** What nobody should see; the first few. */
  readonly errors: string[];
  /** Real ms from when an event was due to its answer. */
  readonly latency: (ms: number) => void;
}

const hour = 3_600_000;
/** Simulated ms that an event waits before it is sent: less than the fastest clock advances in one answer. */
const behind = hour;
const held = 6 * hour;

/**
 * One office: its days in order and in time, one request after another. One event in fifty is held back for hours, one
 * in fifty is sent twice, and the board is looked at twenty times a day.
 * @returns the ids of all events that were answered as accepted or known.
 */
export async function sendSite(
  site: string,
  west: number,
  target: Target,
  clock: SoakClock,
  until: number,
  seen: Seen,
): Promise<string[]> {
  const agent = new http.Agent({ keepAlive: true, maxSockets: 1 });
  const ids: string[] = [];
  const late: { event: SentEvent; due: number }[] = [];
  const deliver = async (event: SentEvent, due: number) => {
    const status = await post(target, agent, event, seen);
    seen.latency(Date.now() - due);
    if (status === 'accepted') seen.accepted += 1;
    else if (status === 'duplicate') seen.duplicates += 1;
    else seen.errors.push(`${event.id}: ${status}`);
    if (status === 'accepted' || status === 'duplicate') ids.push(event.id);
  };
  let number = 0;
  for (const event of both(configuration(site, west), endlessDays(site, west))) {
    const due = realOf(clock, Date.parse(event.time) + behind);
    if (due > until) break;
    const pause = due - Date.now();
    if (pause > 1) await wait(pause);
    number += 1;
    while ((late[0]?.due ?? Infinity) <= Date.now()) {
      const next = late.shift();
      if (next !== undefined) await deliver(next.event, next.due);
    }
    if (number % 50 === 17) {
      late.push({ event, due: realOf(clock, Date.parse(event.time) + held) });
      seen.late += 1;
      continue;
    }
    await deliver(event, due);
    if (number % 50 === 34) await deliver(event, Date.now());
    if (number % 5 === 0) await board(target, agent, site, seen);
  }
  for (const { event } of late) await deliver(event, Date.now());
  agent.destroy();
  return ids;
}

function* both(first: SentEvent, rest: Iterable<SentEvent>): Generator<SentEvent> {
  yield first;
  yield* rest;
}

async function post(target: Target, agent: http.Agent, event: SentEvent, seen: Seen): Promise<string> {
  const body = Buffer.from(JSON.stringify(event));
  const { status, text } = await patiently(target, agent, seen, 'POST', '/v1/events', body);
  if (status !== 202) return `${status} ${text.slice(0, 300)}`;
  return (JSON.parse(text) as { results: { status: string }[] }).results[0]?.status ?? 'no result';
}

async function board(target: Target, agent: http.Agent, site: string, seen: Seen): Promise<void> {
  const { status, text } = await patiently(target, agent, seen, 'GET', `/v1/sites/${site}/board`);
  if (status === 200) seen.boards += 1;
  else seen.errors.push(`board of ${site}: ${status} ${text.slice(0, 300)}`);
}

interface Answer {
  readonly status: number;
  readonly text: string;
  readonly retryAfter: number;
}

/** Comes back when it is told to, as a well-behaved client does. */
async function patiently(
  target: Target,
  agent: http.Agent,
  seen: Seen,
  method: string,
  path: string,
  body?: Buffer,
): Promise<Answer> {
  for (;;) {
    let answer: Answer;
    try {
      answer = await ask(target, agent, method, path, body);
    } catch {
      seen.lost += 1;
      await wait(500);
      continue;
    }
    if (answer.status !== 429 && answer.status !== 503) return answer;
    seen.putOff += 1;
    await wait(answer.retryAfter * 1000);
  }
}

function ask({ url, key }: Target, agent: http.Agent, method: string, path: string, body?: Buffer): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const headers = {
      ...(body === undefined ? {} : { 'content-type': 'application/json', 'content-length': body.length }),
      ...(key === undefined ? {} : { authorization: `Bearer ${key}` }),
    };
    const request = http.request(`${url}${path}`, { method, agent, headers }, (response) => {
      const parts: Buffer[] = [];
      response.on('data', (part: Buffer) => parts.push(part));
      response.on('error', reject);
      response.on('end', () => {
        const retryAfter = Number(response.headers['retry-after'] ?? 1);
        resolve({ status: response.statusCode ?? 0, text: Buffer.concat(parts).toString(), retryAfter });
      });
    });
    request.on('error', reject);
    request.end(body);
  });
}
