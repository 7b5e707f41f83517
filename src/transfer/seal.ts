import { createHash } from 'node:crypto';

const tail = /,"sum":"([0-9a-f]{16})"\}$/;
const tailLength = ',"sum":"0123456789abcdef"}'.length;

/**
 * The running sum of a file: SHA-256 of the sum before and the line, whose last member shows its first 16 digits. So a
 * line that was edited, lost, added or moved is found at its own number, and the last sum covers the whole file. It finds
 * damage and careless edits; it is no signature.
 */
export class Seal {
  #sum = '';

  /** SHA-256 (hex) over all lines so far. */
  get sha256(): string {
    return this.#sum;
  }

  /** An object as the next line, without its line break. */
  write(line: object): string {
    const body = JSON.stringify(line).slice(0, -1);
    this.#add(Buffer.from(body));
    return `${body},"sum":"${this.#sum.slice(0, 16)}"}`;
  }

  /** Whether these are the bytes that were written as the next line. */
  accept(line: Buffer): boolean {
    const [, sum] = tail.exec(line.subarray(-tailLength).toString('latin1')) ?? [];
    if (sum === undefined) return false;
    this.#add(line.subarray(0, -tailLength));
    return this.#sum.startsWith(sum);
  }

  #add(body: Buffer): void {
    this.#sum = createHash('sha256').update(this.#sum).update(body).digest('hex');
  }
}
