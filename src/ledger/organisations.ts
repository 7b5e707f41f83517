import { createHmac, hkdfSync, randomBytes } from 'node:crypto';
import { LRUCache } from 'lru-cache';
import type { Database } from '../db/port.js';
import { recordAdmin } from './admin-audit.js';

/** An organisation's id is part of its keys, so it has no dot. */
const idPattern = /^[A-Za-z0-9_-]{1,64}$/;

/** The organisation cannot be made as asked; the message says why. */
export class OrganisationError extends Error {
  override readonly name = 'OrganisationError';
}

/** @throws OrganisationError for what cannot be the id of an organisation. */
export function checkId(organisation: string): void {
  if (idPattern.test(organisation)) return;
  throw new OrganisationError(
    `An organisation's id is 1 to 64 letters, digits, _ or -, not ${JSON.stringify(organisation)}.`,
  );
}

/** The organisations of a database, and the secret by which each one's patients are hashed. */
export class Organisations {
  readonly #database: Database;
  readonly #now: () => number;
  readonly #patientKeys = new LRUCache<string, string>({ max: 1000 });

  constructor(database: Database, now: () => number = Date.now) {
    this.#database = database;
    this.#now = now;
  }

  /** @returns false when it was there already. @throws OrganisationError for an id that cannot be one. */
  async create(organisation: string, name: string): Promise<boolean> {
    checkId(organisation);
    return this.#database.withOrganisation(organisation, async (tx) => {
      const made = await tx.execute(
        `insert into organisation (organisation, name, patient_key, created_at) values ($1, $2, $3, $4::bigint)
         on conflict do nothing`,
        organisation,
        name,
        randomBytes(32).toString('base64url'),
        this.#now(),
      );
      if (made === 0) return false;
      await recordAdmin(tx, organisation, {
        at: this.#now(),
        actor: 'system',
        change: 'organisation.created',
        content: { name },
      });
      return true;
    });
  }

  /**
   * The keyed hash that stands for a patient's token: the same within the organisation, of no use outside it.
   * @throws OrganisationError when there is no such organisation.
   */
  async patientHash(organisation: string): Promise<(token: string) => string> {
    const key = this.#patientKeys.get(organisation) ?? (await this.#readPatientKey(organisation));
    return (token) => createHmac('sha256', key).update(token).digest('base64url');
  }

  /**
   * A secret of the organisation for one purpose: nothing follows from it for another, nor from the hash of any patient.
   * @throws OrganisationError when there is no such organisation.
   */
  async secret(organisation: string, purpose: string): Promise<Buffer> {
    const key = this.#patientKeys.get(organisation) ?? (await this.#readPatientKey(organisation));
    return Buffer.from(hkdfSync('sha256', key, 'stepwedge', purpose, 32));
  }

  async #readPatientKey(organisation: string): Promise<string> {
    const rows = await this.#database.withOrganisation(organisation, (tx) =>
      tx.query<{ key: string }>('select patient_key as key from organisation where organisation = $1', organisation),
    );
    const key = rows[0]?.key;
    if (key === undefined) throw new OrganisationError(`There is no organisation ${organisation}.`);
    this.#patientKeys.set(organisation, key);
    return key;
  }
}
