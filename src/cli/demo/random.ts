/** Deterministic dice: the same words always throw the same numbers, on every machine. Not for secrets. */
export class Dice {
  private state: number;

  /** Seeded by any words, for example `7/ostermoor/2026-03-02`, so that a day never depends on the days before it. */
  constructor(words: string) {
    // FNV-1a, 32 bit: http://www.isthe.com/chongo/tech/comp/fnv/
    let hash = 0x811c9dc5;
    for (let n = 0; n < words.length; n++) hash = Math.imul(hash ^ words.charCodeAt(n), 0x01000193);
    this.state = hash >>> 0;
  }

  /** A number in [0, 1): the mulberry32 generator, public domain, https://gist.github.com/tommyettinger/46a874533244883189143505d203312c */
  next(): number {
    this.state = (this.state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(this.state ^ (this.state >>> 15), this.state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  }

  /** A whole number from low to high, both inclusive. */
  whole(low: number, high: number): number {
    return low + Math.floor(this.next() * (high - low + 1));
  }

  /** True once in so many throws, on average. */
  onceIn(throws: number): boolean {
    return this.next() * throws < 1;
  }

  pick<T>(items: readonly [T, ...T[]]): T {
    return items[this.whole(0, items.length - 1)] ?? items[0];
  }
}
