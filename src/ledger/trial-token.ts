import { createHmac, timingSafeEqual } from 'node:crypto';
import { contentHash } from '../packs/book.js';
import type { Pack } from '../packs/model.js';
import type { Organisations } from './organisations.js';

/** What a trial was of: these packs, beside the book that was in force. */
export interface Tried {
  readonly packs: readonly Pack[];
  /** `PackBook.hash` of the present packs. */
  readonly book: string;
  /** From when on they stood in it, ms; absent: as though they always had. */
  readonly from?: number | undefined;
}

/**
 * Proof that a trial of exactly these packs beside exactly the present ones was answered by a server of this
 * organisation, from when on they stood in it, and whether it was over the budget of attention. It expires by itself: with
 * the next change of packs.
 */
export async function trialToken(
  organisations: Organisations,
  organisation: string,
  tried: Tried,
  overBudget: boolean,
): Promise<string> {
  const secret = await organisations.secret(organisation, 'trial of packs');
  const hashes = tried.packs.map(contentHash).sort();
  const since = String(tried.from ?? ever);
  const text = JSON.stringify([overBudget ? 'over' : 'within', since, tried.book, ...hashes]);
  return `${since}_${createHmac('sha256', secret).update(text).digest('base64url')}`;
}

const ever = 'ever';

/**
 * What a token proves; undefined: nothing, of these packs, beside this book, or from so early on.
 * @param effective from when on the packs are to judge, ms: what was not tried out is not proved.
 */
export async function trialSeen(
  organisations: Organisations,
  organisation: string,
  tried: Omit<Tried, 'from'>,
  effective: number,
  token: string,
): Promise<{ readonly overBudget: boolean } | undefined> {
  const since = token.slice(0, Math.max(0, token.indexOf('_')));
  const from = since === ever ? undefined : Number(since);
  if (from !== undefined && !(from <= effective)) return undefined;
  for (const overBudget of [false, true])
    if (isSame(token, await trialToken(organisations, organisation, { ...tried, from }, overBudget)))
      return { overBudget };
  return undefined;
}

function isSame(a: string, b: string): boolean {
  const [left, right] = [Buffer.from(a), Buffer.from(b)];
  return left.length === right.length && timingSafeEqual(left, right);
}
