/** The order in which a site's events are folded: law L2. */

/** The key that places an event: (instant, rank of its type, sender, id). */
export interface OrderKey {
  readonly at: number;
  readonly rank: number;
  readonly source: string;
  readonly id: string;
}

/**
 * Negative when `a` comes first, 0 for the same event. Sender and id are printable ASCII (decode refuses the rest), so
 * comparing UTF-16 units is comparing bytes, as the database does with COLLATE "C".
 */
export function compareKeys(a: OrderKey, b: OrderKey): number {
  if (a.at !== b.at) return a.at < b.at ? -1 : 1;
  if (a.rank !== b.rank) return a.rank < b.rank ? -1 : 1;
  if (a.source !== b.source) return a.source < b.source ? -1 : 1;
  if (a.id !== b.id) return a.id < b.id ? -1 : 1;
  return 0;
}

/** Whether `a` is folded before `b`. */
export function precedes(a: OrderKey, b: OrderKey): boolean {
  return compareKeys(a, b) < 0;
}
