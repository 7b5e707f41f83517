import { afterAll, beforeAll, describe, expect, test } from '@jest/globals';
import { Dice } from '../../src/cli/demo/random.js';
import { Teller, type SentEvent } from '../../src/cli/demo/teller.js';
import { toldWeeks } from '../../src/cli/demo/weeks/index.js';
import { personAdded } from '../../src/cli/demo/weeks/two-months.js';
import type { Finding } from '../../src/engine/finding.js';
import { startServer, type RunningServer } from '../../src/server.js';
import { foldSite } from '../../src/trials/fold-site.js';
import { testDatabases, type TestDatabase } from '../support/database.js';
import { decoded, shipped } from './stage.js';

const now = Date.parse('2026-10-01T03:00:00Z');

interface Posted {
  readonly results: readonly {
    readonly id: string;
    readonly source: string;
    readonly status: string;
    readonly findings: readonly string[];
  }[];
}

/** Every told week at a site and from a sender of its own, and one whose log is put right afterwards. */
const stories = toldWeeks().flatMap((week) => {
  const put = week.id === 'long-months' ? [{ week, site: 'put-right', correct: true }] : [];
  return [{ week, site: week.id, correct: false }, ...put].map(
    ({ week: { office, events, ...rest }, site, correct }) => {
      const own = <T extends SentEvent>(event: T): T => ({ ...event, site, source: `office/${site}` });
      const told = events.map(own);
      const first = new Teller(office, 'stage');
      first.configured(`${events.map(({ time }) => time.slice(0, 10)).sort()[0]}T00:00`);
      const later = correct ? personAdded({ ...rest, office, events: told }) : [];
      return { site, events: [...first.events, ...told, ...later].map(own) };
    },
  );
});

/** The same events in no order, some of them twice. */
function mixed(site: string, events: readonly SentEvent[]): SentEvent[] {
  const dice = new Dice(`mixed/${site}`);
  const all = [...events, ...events.filter(() => dice.onceIn(20))];
  for (let last = all.length - 1; last > 0; last--) {
    const other = dice.whole(0, last);
    [all[last], all[other]] = [all[other] as SentEvent, all[last] as SentEvent];
  }
  return all;
}

/** What must be the same wherever it is read: identity, word, life and numbers. */
const essence = ({ id, rule, severity, state, message, films, occurrences, ...times }: Finding | Shown) => ({
  id,
  rule,
  severity,
  state,
  message,
  films,
  occurrences,
  opened: new Date(times.openedAt).toISOString(),
  closed: times.closedAt === undefined ? undefined : new Date(times.closedAt).toISOString(),
});
type Shown = Omit<Finding, 'openedAt' | 'closedAt'> & { readonly openedAt: string; readonly closedAt?: string };
const sorted = (list: readonly ReturnType<typeof essence>[]) => [...list].sort((a, b) => (a.id < b.id ? -1 : 1));

describe.each(testDatabases())('the told weeks through HTTP in one batch, out of order ($name)', ({ open }) => {
  let database: TestDatabase;
  let server: RunningServer;
  beforeAll(async () => {
    database = await open();
    server = await startServer({
      database,
      now: () => now,
      sweepEvery: 0,
      config: { port: 0, logLevel: 'fatal', requestsAMinute: 0 },
    });
  }, 60_000);
  afterAll(async () => {
    await server?.close();
    await database?.drop();
  });

  const ask = async <T>(path: string, body?: unknown): Promise<T> => {
    const response = await fetch(server.url + path, {
      ...(body === undefined ? {} : { method: 'POST', body: JSON.stringify(body) }),
      headers: { authorization: `Bearer ${server.adminKey}`, 'content-type': 'application/cloudevents-batch+json' },
    });
    expect(response.status).toBe(200);
    return (await response.json()) as T;
  };
  const stored = async (site: string) => {
    const { items, next } = await ask<{ items: Shown[]; next?: string | null }>(`/v1/findings?site=${site}&limit=500`);
    expect(next ?? null).toBeNull();
    return sorted(items.filter(({ state }) => state !== 'withdrawn').map(essence));
  };

  test.each(stories)('$site', async ({ site, events }) => {
    const sent = mixed(site, events);
    const first = await ask<Posted>('/v1/events', sent);
    const counted = (status: string): number => first.results.filter((result) => result.status === status).length;
    expect([counted('accepted'), counted('duplicate'), counted('rejected')]).toEqual([
      events.length,
      sent.length - events.length,
      0,
    ]);

    const folded = foldSite(events.map(decoded), shipped);
    expect(await stored(site)).toEqual(sorted([...folded.findings.values()].map(essence)));

    // Sent again, everything is known already, and answers with the same findings.
    const again = await ask<Posted>('/v1/events', sent);
    expect(new Set(again.results.map(({ status }) => status))).toEqual(new Set(['duplicate']));
    expect(again.results.map(({ findings }) => findings)).toEqual(first.results.map(({ findings }) => findings));
  });

  test('and swept to the end of the season they are what the fold says there', async () => {
    await server.sweep();
    for (const { site, events } of stories) {
      const folded = foldSite(events.map(decoded), shipped, now);
      expect(await stored(site)).toEqual(sorted([...folded.findings.values()].map(essence)));
    }
  });
});
