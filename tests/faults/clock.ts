/** The time of a run: it begins at `began` (ms of the made-up year) and passes faster than the clock on the wall. */
export interface Clock {
  readonly began: number;
  /** Wall time at which it began, ms. */
  readonly wall: number;
  readonly speed: number;
}

export function readClock({ began, wall, speed }: Clock, wallNow = Date.now()): number {
  return Math.round(began + (wallNow - wall) * speed);
}

/** Wall time at which the clock will show `at`, ms. */
export function wallOf({ began, wall, speed }: Clock, at: number): number {
  return wall + (at - began) / speed;
}
