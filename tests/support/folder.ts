import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdir } from 'node:fs/promises';
import path from 'node:path';
import { migratedSnapshot } from './database.js';

/** A data folder of the embedded database as a first start leaves it, in a fraction of the time. */
export async function layFolder(folder: string): Promise<void> {
  const place = path.join(folder, 'database');
  await mkdir(place, { recursive: true });
  const tar = spawn('tar', ['-xf', '-', '-C', place], { stdio: ['pipe', 'ignore', 'ignore'] });
  const closed = once(tar, 'close');
  tar.stdin.end(await migratedSnapshot());
  const [code] = (await closed) as [number | null];
  if (code !== 0) throw new Error(`tar ended with ${code}.`);
}
