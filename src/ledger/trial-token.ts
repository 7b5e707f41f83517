import { createHmac, timingSafeEqual } from 'node:crypto';
import { contentHash } from '../packs/book.js';
import type { Pack } from '../packs/model.js';
import type { Organisations } from './organisations.js';

/** What a trial was of: these packs, beside the book that was in force. */
export interface Tried {
  readonly packs: readonly Pack[];
  /** `PackBook.hash` of the present packs. */
  readonly book: string;
}

/**
 * Proof that a trial of exactly these packs beside exactly the present ones was answered by a server of this
 * organisation, and whether it was over the budget of attention. It expires by itself: with the next change of packs.
 */
export async function trialToken(
  organisations: Organisations,
  organisation: string,
  tried: Tried,
  overBudget: boolean,
): Promise<string> {
  const secret = await organisations.secret(organisation, 'trial of packs');
  const hashes = tried.packs.map(contentHash).sort();
  const text = JSON.stringify([overBudget ? 'over' : 'within', tried.book, ...hashes]);
  return createHmac('sha256', secret).update(text).digest('base64url');
}

/** What a token proves; undefined: nothing, of these packs or beside this book. */
export async function trialSeen(
  organisations: Organisations,
  organisation: string,
  tried: Tried,
  token: string,
): Promise<{ readonly overBudget: boolean } | undefined> {
  for (const overBudget of [false, true])
    if (isSame(token, await trialToken(organisations, organisation, tried, overBudget))) return { overBudget };
  return undefined;
}

function isSame(a: string, b: string): boolean {
  const [left, right] = [Buffer.from(a), Buffer.from(b)];
  return left.length === right.length && timingSafeEqual(left, right);
}
