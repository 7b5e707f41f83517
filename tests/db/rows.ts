import type { Transaction } from '../../src/db/port.js';

export function insertOrganisation(tx: Transaction, organisation: string): Promise<number> {
  return tx.execute(
    'INSERT INTO organisation (organisation, name, patient_key, created_at) VALUES ($1, $2, $3, $4)',
    organisation,
    `Office ${organisation}`,
    'secret',
    1_767_225_600_000,
  );
}

export function insertEvent(tx: Transaction, key: { organisation: string; id: string; at?: number }): Promise<number> {
  return tx.execute(
    `INSERT INTO event (organisation, site, at, rank, source, id, type, data, received_at)
     VALUES ($1, 'site-1', $2, 3, 'pms', $3, 'day.opened', $4::text::jsonb, $2)`,
    key.organisation,
    key.at ?? 1_767_225_600_000,
    key.id,
    JSON.stringify({ line: 'M1' }),
  );
}
