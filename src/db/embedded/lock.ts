import { mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import os from 'node:os';
import path from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import lockfile from 'proper-lockfile';
import { DatabaseStartError } from '../errors.js';

/** A living holder touches the lock twice within this time; one untouched for longer is given up. */
const stale = 10_000;
/** The shortest that the library knows, for a holder known to be dead. */
const staleOfDead = 2_000;

/** Long enough for another that takes over in the same moment to write its name, ms. */
const confirmation = 200;

interface Holder {
  readonly pid: number;
  readonly host: string;
}

/**
 * Keeps the data folder to one process: the embedded database itself takes no lock, and two on the same files would
 * destroy them. The folder is made when missing.
 *
 * @param onLost when somebody else took the lock over, as after this process was asleep for long
 * @returns releases the lock
 * @throws DatabaseStartError in a sentence, when the folder is in use or cannot be written
 */
export async function lockFolder(folder: string, onLost: (reason: string) => void): Promise<() => Promise<void>> {
  const holderFile = path.join(folder, 'holder.json');
  const take = (patience: number) =>
    lockfile.lock(folder, {
      lockfilePath: path.join(folder, 'lock'),
      stale: patience,
      onCompromised: () => onLost(`Another process has taken over the data folder ${folder}.`),
    });
  let release: () => Promise<void>;
  let takenOver = false;
  try {
    await mkdir(folder, { recursive: true });
    release = await take(stale).catch(async (error: unknown) => {
      if (codeOf(error) !== 'ELOCKED') throw error;
      const holder = await readHolder(holderFile);
      if (holder && !isDead(holder)) throw inUse(folder, holder);
      // The dead cannot refresh the lock: after a moment it may be taken. Not removed here by hand, since two that
      // find the same dead holder would then each remove the other's new lock. Without a name, its holder may have died
      // before it wrote one: a living one refreshes the lock in that time.
      const patience = holder ? staleOfDead : stale;
      await wait(patience + 100);
      // Somebody else may have been quicker, and refreshes its lock less often than that.
      const present = await readHolder(holderFile);
      if (present && !isDead(present)) throw inUse(folder, present);
      takenOver = true;
      return take(patience);
    });
    const self: Holder = { pid: process.pid, host: os.hostname() };
    await writeFile(holderFile, JSON.stringify(self));
    if (takenOver) await isStill(holderFile, self, folder);
  } catch (error) {
    if (error instanceof DatabaseStartError) throw error;
    if (codeOf(error) === 'ELOCKED') throw inUse(folder, await readHolder(holderFile));
    const reason = error instanceof Error ? error.message : String(error);
    throw new DatabaseStartError(`The data folder ${folder} cannot be used: ${reason}.`, { cause: error });
  }
  return async () => {
    await rm(holderFile, { force: true });
    // Already lost: then there is nothing to release.
    await release().catch(() => undefined);
  };
}

/** Two may take over from the same dead holder at once, each for its own; of those the last that wrote its name stays. */
async function isStill(holderFile: string, self: Holder, folder: string): Promise<void> {
  await wait(confirmation);
  const holder = await readHolder(holderFile);
  if (holder?.pid === self.pid && holder.host === self.host) return;
  // Until the library has noticed as well: at its exit a process removes the lock that it believes to be its own.
  await wait(staleOfDead);
  throw inUse(folder, holder);
}

function inUse(folder: string, holder: Holder | undefined): DatabaseStartError {
  const who = holder ? `process ${holder.pid} on ${holder.host}` : 'another process';
  return new DatabaseStartError(
    `The data folder ${folder} is in use by ${who}. Stop that one first, or give this one a folder of its own.`,
  );
}

async function readHolder(file: string): Promise<Holder | undefined> {
  try {
    const value: unknown = JSON.parse(await readFile(file, 'utf8'));
    if (typeof value !== 'object' || value === null || !('pid' in value) || !('host' in value)) return undefined;
    return { pid: Number(value.pid), host: String(value.host) };
  } catch {
    return undefined;
  }
}

/** Only a process of this machine can be known to be dead. */
function isDead({ pid, host }: Holder): boolean {
  if (host !== os.hostname() || !Number.isInteger(pid) || pid <= 0) return false;
  try {
    process.kill(pid, 0);
    return false;
  } catch (error) {
    return codeOf(error) === 'ESRCH';
  }
}

function codeOf(error: unknown): unknown {
  return typeof error === 'object' && error !== null && 'code' in error ? error.code : undefined;
}
