import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';
import { LRUCache } from 'lru-cache';
import type { Database } from '../db/port.js';
import { findKey, insertKey, listKeys, revokeKey } from '../db/sql/api-keys.js';
import { recordAdmin } from './admin-audit.js';

/** What a key may do, and where. `sites` and `sources` null: everywhere, as any sender. */
export interface KeyGrant {
  readonly name: string;
  readonly scopes: readonly string[];
  readonly sites: readonly string[] | null;
  readonly sources: readonly string[] | null;
}
/** Instants in ms. */
export interface KeyRecord extends KeyGrant {
  readonly id: string;
  readonly organisation: string;
  readonly createdAt: number;
  readonly revokedAt: number | null;
}

interface Row {
  readonly id: string;
  readonly organisation: string;
  readonly name: string;
  readonly secret_hash: string;
  readonly scopes: string[];
  readonly sites: string[] | null;
  readonly sources: string[] | null;
  readonly created_at: number;
  readonly revoked_at: number | null;
}

/** `sw.<organisation>.<key id>.<secret>`: says where to look, and proves nothing without the secret. */
const tokenPattern = /^sw\.([A-Za-z0-9_-]{1,64})\.([A-Za-z0-9_-]{1,32})\.([A-Za-z0-9_-]{20,128})$/;

/** How long a key found once is trusted, ms: another process that revokes it is heeded this much later. */
const trusted = 10_000;

/** The API keys of all organisations. Of a secret only its hash is stored; 32 random bytes need no slow one. */
export class Keys {
  readonly #database: Pick<Database, 'withOrganisation'>;
  readonly #now: () => number;
  /** By the hash of the whole token, so that no secret lies in memory either. */
  readonly #found: LRUCache<string, KeyRecord>;

  constructor(database: Pick<Database, 'withOrganisation'>, now: () => number = Date.now) {
    this.#database = database;
    this.#now = now;
    this.#found = new LRUCache({ max: 1000, ttl: trusted });
  }

  /** The key of a token; null when it is not one of ours, wrong or revoked. */
  async find(token: string): Promise<KeyRecord | null> {
    const hash = sha256(token);
    const known = this.#found.get(hash);
    if (known !== undefined) return known;
    const [, organisation, id, secret] = tokenPattern.exec(token) ?? [];
    if (organisation === undefined || id === undefined || secret === undefined) return null;
    const rows = await this.#database.withOrganisation(organisation, (tx) => tx.query<Row>(findKey, organisation, id));
    const row = rows[0];
    // An unknown id is compared too: the time it takes tells nothing.
    const right = isEqual(sha256(secret), row?.secret_hash ?? sha256(''));
    if (row === undefined || !right || row.revoked_at !== null) return null;
    const key = recordOf(row);
    this.#found.set(hash, key);
    return key;
  }

  async list(organisation: string): Promise<KeyRecord[]> {
    const rows = await this.#database.withOrganisation(organisation, (tx) => tx.query<Row>(listKeys, organisation));
    return rows.map(recordOf);
  }

  /**
   * @param by who asks, for the audit trail.
   * @param given a token to use, of our form and for this organisation; absent: one is made.
   * @returns the key and its token, which cannot be had again.
   * @throws RangeError for a given token of another form.
   */
  async create(
    organisation: string,
    by: string,
    grant: KeyGrant,
    given?: string,
  ): Promise<KeyRecord & { readonly secret: string }> {
    const parsed = given === undefined ? undefined : tokenPattern.exec(given);
    if (given !== undefined && parsed?.[1] !== organisation) {
      throw new RangeError(
        `A key must look like sw.${organisation}.<id>.<secret>, with a secret of 20 to 128 letters, digits, - or _.`,
      );
    }
    const id = parsed?.[2] ?? randomBytes(6).toString('hex');
    const secret = parsed?.[3] ?? randomBytes(32).toString('base64url');
    const at = this.#now();
    const { name, scopes, sites, sources } = grant;
    await this.#database.withOrganisation(organisation, async (tx) => {
      await tx.execute(insertKey, organisation, id, name, sha256(secret), scopes, sites, sources, at);
      await recordAdmin(tx, organisation, {
        at,
        actor: by,
        change: 'key.created',
        content: { id, name, scopes, sites, sources },
      });
    });
    const record = { id, organisation, name, scopes, sites, sources, createdAt: at, revokedAt: null };
    return { ...record, secret: `sw.${organisation}.${id}.${secret}` };
  }

  /** At once in this process, within `trusted` in others. @returns false when there is no such key in force. */
  async revoke(organisation: string, by: string, id: string): Promise<boolean> {
    const at = this.#now();
    const done = await this.#database.withOrganisation(organisation, async (tx) => {
      if ((await tx.execute(revokeKey, organisation, id, at)) === 0) return false;
      await recordAdmin(tx, organisation, { at, actor: by, change: 'key.revoked', content: { id } });
      return true;
    });
    for (const [hash, key] of this.#found.entries()) {
      if (key.organisation === organisation && key.id === id) this.#found.delete(hash);
    }
    return done;
  }
}

function recordOf({ id, organisation, name, scopes, sites, sources, created_at, revoked_at }: Row): KeyRecord {
  return { id, organisation, name, scopes, sites, sources, createdAt: created_at, revokedAt: revoked_at };
}

function sha256(text: string): string {
  return createHash('sha256').update(text).digest('hex');
}

function isEqual(a: string, b: string): boolean {
  const [left, right] = [Buffer.from(a), Buffer.from(b)];
  return left.length === right.length && timingSafeEqual(left, right);
}
