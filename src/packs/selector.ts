import type { Selector } from './model.js';

/** What a selector is held against; an absent word matches nothing that asks for it. */
export interface Scene {
  readonly method?: string;
  readonly chemistry?: string;
  readonly bath?: string;
  readonly product?: string;
  readonly line?: string;
}

const fields = ['method', 'chemistry', 'bath', 'product', 'line'] as const;

export function selects(selector: Selector, scene: Scene): boolean {
  for (const field of fields) {
    const wanted = selector[field];
    if (wanted === undefined) continue;
    const word = scene[field];
    if (word === undefined || !wanted.includes(word)) return false;
  }
  return true;
}
