import { decode } from '../../src/events/decode.js';
import type { Decoded, DecodeOptions } from '../../src/events/decode.js';
import type { Fault } from '../../src/events/faults.js';

export const now = Date.UTC(2026, 2, 2, 12);

export function decodeAt(event: unknown, options: Partial<DecodeOptions> = {}): Decoded {
  return decode(event, { now, hashPatient: (token) => `hashed-${token.length}`, ...options });
}

export function faultsOf(event: unknown, options: Partial<DecodeOptions> = {}): readonly Fault[] {
  const result = decodeAt(event, options);
  return result.ok ? [] : result.faults;
}
