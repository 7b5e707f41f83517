/** An organisation cannot be exported or imported; the message says why, and where in the file. Nothing was kept. */
export class TransferError extends Error {
  override readonly name = 'TransferError';
}

/** The same, placed in the file. Lines count from 1. */
export function atLine(number: number, reason: string): TransferError {
  return new TransferError(`line ${number}: ${reason}`);
}
