/** Adds up stretches of work, s. */
export class Stopwatch {
  wall = 0;
  cpu = 0;

  run(work: () => void): void {
    const begun = this.#begin();
    work();
    this.#stop(begun);
  }

  async wait<T>(work: () => Promise<T>): Promise<T> {
    const begun = this.#begin();
    const value = await work();
    this.#stop(begun);
    return value;
  }

  #begin() {
    return { wall: performance.now(), cpu: process.cpuUsage() };
  }

  #stop({ wall, cpu }: { readonly wall: number; readonly cpu: NodeJS.CpuUsage }): void {
    const { user, system } = process.cpuUsage(cpu);
    this.wall += (performance.now() - wall) / 1000;
    this.cpu += (user + system) / 1e6;
  }
}
