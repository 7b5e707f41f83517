import type { SiteState } from './state.js';

/** Append to a ring; what falls out at the front is counted, so that nothing is forgotten silently. */
export function pushCapped<T>(state: SiteState, ring: string, list: T[], item: T, cap: number): void {
  list.push(item);
  if (list.length > cap) {
    list.shift();
    state.dropped[ring] = (state.dropped[ring] ?? 0) + 1;
  }
}
