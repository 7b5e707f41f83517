import {
  ConnectionLostError,
  DatabaseUnavailableError,
  isConflict,
  isConnectionLoss,
  isStorageFull,
  sqlState,
} from '../db/errors.js';

/** Deadlock, serialisation failure, lock not available: the same transaction may succeed a moment later. */
export function mayRetry(error: unknown): boolean {
  return isConflict(error) || sqlState(error) === '55P03';
}

/** A server that restarts is back in a moment. What was committed all the same is found to be a duplicate. */
export function mayComeBack(error: unknown): boolean {
  return error instanceof ConnectionLostError;
}

/** Nothing is wrong with the events; the database is out of reach, or has no room or no time. */
export function isAboutTheDatabase(error: unknown): boolean {
  if (error instanceof DatabaseUnavailableError || isStorageFull(error) || isConnectionLoss(error)) return true;
  return /^(53|57|58)/.test(sqlState(error) ?? '');
}

/** A statement failed, so its transaction is lost, whatever the reason. */
export function isDatabaseError(error: unknown): boolean {
  return sqlState(error) !== undefined || error instanceof DatabaseUnavailableError || isConnectionLoss(error);
}

/** PostgreSQL refused the rows themselves: data exceptions, constraints, limits of the program. */
export function isAboutTheRows(error: unknown): boolean {
  return /^(22|23|54)/.test(sqlState(error) ?? '');
}
