import { toCanonical } from '../../../events/units.js';
import { isRefusal, type Answer } from '../../../refusal.js';
import { invalid } from './place.js';

/** A quantity as sent, in the canonical unit of its dimension. */
export const reduced = ({ value, unit }: { readonly value: number; readonly unit: string }): number =>
  toCanonical(value, unit);

/** What requests call the arguments of the functions that reckon. */
const fields: Readonly<Record<string, string>> = { voltage: 'tubeVoltage', current: 'tubeCurrent' };

/** Twelve figures: 0.35 less 0.21 is 0.14 for whoever reads it. */
export function tidy<T>(answer: T): T {
  if (typeof answer === 'number') return Number(answer.toPrecision(12)) as T;
  if (Array.isArray(answer)) return answer.map(tidy) as T;
  if (typeof answer !== 'object' || answer === null) return answer;
  return Object.fromEntries(Object.entries(answer).map(([name, value]) => [name, tidy(value)])) as T;
}

/** The answer; a refusal becomes a fault of the field that is to blame. @throws Problem */
export function answered<T>(answer: Answer<T>): T {
  if (!isRefusal(answer)) return answer;
  const pointer = answer.of.split('.').map((part) => fields[part] ?? part);
  throw invalid(`/${pointer.join('/')}`, 'out-of-range', `cannot be reckoned with: ${answer.because}`);
}
