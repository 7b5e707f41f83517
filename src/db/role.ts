import type pg from 'pg';
import { DatabaseStartError, sqlState } from './errors.js';

/** Made by the first migration: no login, no superuser, no right to edit what is append-only. */
export const applicationRole = 'stepwedge_app';

/**
 * For the whole life of a connection, so that not even a statement outside a transaction runs with more rights: table
 * owners and superusers would bypass row-level security or could switch it off.
 */
export async function becomeApplication(client: pg.ClientBase): Promise<void> {
  await client.query(`SET ROLE ${applicationRole}`);
}

/** Called once after migration, so that a missing role or membership is told at start. */
export async function checkRole(client: pg.ClientBase): Promise<void> {
  const { rows } = await client.query<{ user: string }>('SELECT current_user AS "user"');
  const user = rows[0]?.user ?? '';
  try {
    await client.query(`SET ROLE ${applicationRole}`);
    await client.query('RESET ROLE');
  } catch (error) {
    throw new DatabaseStartError(roleHelp(user), { cause: error });
  }
}

export function isMissingRight(error: unknown): boolean {
  return sqlState(error) === '42501';
}

export function roleHelp(user: string): string {
  return (
    `The database user "${user}" may not create or use the role ${applicationRole}, which the server runs as. ` +
    `Let an administrator run, once: CREATE ROLE ${applicationRole} NOLOGIN; GRANT ${applicationRole} TO "${user}";`
  );
}
