/**
 * Numbers by chance, the same for the same seed. Mulberry32: one multiplication chain over a counter, good enough to
 * choose moments, and small.
 */
export class Chance {
  #state: number;

  constructor(seed: number) {
    this.#state = seed >>> 0;
  }

  /** From 0 up to 1, without 1. */
  next(): number {
    this.#state = (this.#state + 0x6d2b79f5) >>> 0;
    let t = this.#state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296;
  }

  /** A whole number from 0 up to `below`, without it. */
  below(below: number): number {
    return Math.floor(this.next() * below);
  }

  between(from: number, to: number): number {
    return from + this.next() * (to - from);
  }

  one<T>(things: readonly [T, ...T[]]): T {
    return things[this.below(things.length)] ?? things[0];
  }
}
