import { toCanonical } from '../../../events/units.js';
import { isRefusal, type Answer } from '../../../refusal.js';
import { invalid } from './place.js';

/** A quantity as sent, in the canonical unit of its dimension. */
export const reduced = ({ value, unit }: { readonly value: number; readonly unit: string }): number =>
  toCanonical(value, unit);

/** What requests call the arguments of the functions that reckon. */
const fields: Readonly<Record<string, string>> = { voltage: 'tubeVoltage', current: 'tubeCurrent' };

/** The answer; a refusal becomes a fault of the field that is to blame. @throws Problem */
export function answered<T>(answer: Answer<T>): T {
  if (!isRefusal(answer)) return answer;
  const pointer = answer.of.split('.').map((part) => fields[part] ?? part);
  throw invalid(`/${pointer.join('/')}`, 'out-of-range', `cannot be reckoned with: ${answer.because}`);
}
