import type { Selector } from '../../packs/model.js';
import { saySelector } from '../sentences.js';
import { sides, type FieldChange } from './fields.js';
import { asked, listStrictness, together, type Strictness } from './strictness.js';

const fields = ['method', 'chemistry', 'bath', 'product', 'line'] as const;

/**
 * Which lines are spoken of: fewer is looser. More is tighter where `isMoreTighter`; a rule that a passed event clears can
 * be cleared by events that it did not hear before.
 */
export function selectorChange(before: Selector, after: Selector, isMoreTighter: boolean): FieldChange[] {
  const went = together(fields.map((field) => fieldStrictness(before[field], after[field])));
  if (went === undefined) return [];
  const strictness = went === 'tighter' && !isMoreTighter ? 'differs' : went;
  const [old, now] = [saySelector(before) || 'everything', saySelector(after) || 'everything'];
  return [{ field: 'for', ...sides(old, now), strictness, asks: asked(strictness) }];
}

/** A field that is absent means any. */
function fieldStrictness(
  before: readonly string[] | undefined,
  after: readonly string[] | undefined,
): Strictness | undefined {
  if (before === undefined) return after === undefined ? undefined : 'looser';
  return after === undefined ? 'tighter' : listStrictness(before, after, 'tighter');
}
