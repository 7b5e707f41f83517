/** The database could not be opened; the message is a sentence for whoever starts the server, and names no password. */
export class DatabaseStartError extends Error {
  override readonly name = 'DatabaseStartError';
}

/** An opened database cannot be reached at the moment: lost, closed, or all connections busy for too long. */
export class DatabaseUnavailableError extends Error {
  override readonly name: string = 'DatabaseUnavailableError';
}

/** A connection broke, or could not be made, and the next may well work. Whether a commit under way on it came through, nobody knows. */
export class ConnectionLostError extends DatabaseUnavailableError {
  override readonly name = 'ConnectionLostError';
}

/** There is no room left for more; nothing was written. */
export class StorageFullError extends Error {
  override readonly name = 'StorageFullError';
}

/** Our own word for it, or PostgreSQL's disk_full. */
export function isStorageFull(error: unknown): boolean {
  return error instanceof StorageFullError || sqlState(error) === '53100';
}

/** The SQLSTATE of a database error, raw or wrapped by Prisma; undefined for anything else. */
export function sqlState(error: unknown): string | undefined {
  for (let current = error, depth = 0; isRecord(current) && depth < 5; depth++) {
    for (const code of [current['originalCode'], current['code']]) {
      if (typeof code === 'string' && sqlStatePattern.test(code)) return code;
    }
    const meta = isRecord(current['meta']) ? current['meta']['driverAdapterError'] : undefined;
    current = meta ?? current['cause'];
  }
  return undefined;
}

/** By its classes: neither a socket's EPIPE nor Prisma's own P2002 is one. */
const sqlStatePattern = /^(\d[0-9A-Z]|F0|HV|P0|XX)[0-9A-Z]{3}$/;

/** Two transactions were in each other's way; the same work may succeed when run again. */
export function isConflict(error: unknown): boolean {
  const state = sqlState(error);
  return state === '40001' || state === '40P01' || (isRecord(error) && error['code'] === 'P2034');
}

/** SQLSTATE classes 08 (connection), 57P (shutdown) and 53300 (too many connections), and what sockets and the pool say. */
export function isConnectionLoss(error: unknown): boolean {
  const state = sqlState(error);
  if (state !== undefined) return /^(08|57P0[1-5]|53300)/.test(state);
  if (!(error instanceof Error)) return false;
  const code = isRecord(error) ? error['code'] : undefined;
  return (
    (typeof code === 'string' && socketErrors.has(code)) ||
    /^(Connection terminated|Client has encountered a connection error|timeout exceeded when trying to connect)/.test(
      error.message,
    )
  );
}

const socketErrors = new Set([
  'ECONNREFUSED',
  'ECONNRESET',
  'EPIPE',
  'ETIMEDOUT',
  'ENOTFOUND',
  'EHOSTUNREACH',
  'ENOENT',
]);

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null;
}
