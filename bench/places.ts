import type { ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm } from 'node:fs/promises';
import os from 'node:os';
import path from 'node:path';
import pg from 'pg';
import type { Place } from './store-only.js';

/** The next message of a process that was started. @throws when it ends instead. */
export async function answer<T>(child: ChildProcess): Promise<T> {
  const given = new AbortController();
  const ended = once(child, 'exit', { signal: given.signal }).then(() => {
    throw new Error('The process ended early; its message is above.');
  });
  try {
    const [message] = (await Promise.race([once(child, 'message', { signal: given.signal }), ended])) as [T];
    return message;
  } finally {
    given.abort();
    ended.catch(() => undefined);
  }
}

/** A folder of its own for an embedded database. */
export async function ownFolder(): Promise<{ place: Place; remove: () => Promise<void> }> {
  const folder = await mkdtemp(path.join(os.tmpdir(), 'stepwedge-bench-'));
  return { place: { folder }, remove: () => rm(folder, { recursive: true, force: true }) };
}

/** A database of its own on a PostgreSQL server. */
export async function ownDatabase(server: string): Promise<{ place: Place; remove: () => Promise<void> }> {
  const name = `stepwedge_bench_${process.pid}_${Date.now()}`;
  const administer = async (statement: string) => {
    const client = new pg.Client({ connectionString: server });
    await client.connect();
    await client.query(statement).finally(() => client.end());
  };
  await administer(`create database ${name}`);
  const address = new URL(server);
  address.pathname = `/${name}`;
  return {
    place: { databaseUrl: address.href },
    remove: () => administer(`drop database if exists ${name} with (force)`),
  };
}
