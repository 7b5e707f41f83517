import type { FieldChange } from './fields.js';
import type { Bump } from './version.js';

/** One part of a pack that is new, gone or changed. */
export interface Change {
  readonly part: 'pack' | 'limit' | 'chart' | 'technique' | 'defects' | 'check' | 'duty' | 'not known' | 'test';
  /** Its name within the pack. */
  readonly id: string;
  /** Which of several of this name: the lines it speaks of, as a person reads it. */
  readonly of?: string;
  readonly change: 'added' | 'removed' | 'changed';
  readonly fields: readonly FieldChange[];
  /** What it asks of the version. */
  readonly asks: Bump;
}
