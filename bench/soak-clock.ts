/**
 * The soak's clock: weeks of ordinary days pass in minutes, for server and senders alike, so that rings fill, duties
 * fall due and findings lapse as they would in months.
 */
export interface SoakClock {
  /** Real instant of the beginning, ms. */
  readonly begun: number;
  /** Simulated instant of the beginning, ms. */
  readonly start: number;
  /** Simulated for one real millisecond. */
  readonly speed: number;
}

export function simulated({ begun, start, speed }: SoakClock, real: number): number {
  return Math.round(start + Math.max(0, real - begun) * speed);
}

export function realOf({ begun, start, speed }: SoakClock, instant: number): number {
  return begun + (instant - start) / speed;
}
