interface Job<Item, Answer> {
  readonly items: readonly Item[];
  readonly resolve: (answer: Answer) => void;
  readonly reject: (reason: unknown) => void;
}

/**
 * Gathers what concurrent callers bring while a commit is under way, and commits it together: under load the cost of a
 * transaction is shared, at rest a caller waits for nobody. One commit at a time a queue.
 */
export class GroupCommit<Item, Answer> {
  readonly #commit: (groups: readonly (readonly Item[])[]) => Promise<readonly (Answer | Error)[]>;
  readonly #most: number;
  #waiting: Job<Item, Answer>[] = [];
  #running = false;

  /**
   * @param commit gets the callers' items, one group a caller, and answers for each caller; an Error rejects that one.
   * @param most items a commit, unless one caller alone brings more.
   */
  constructor(commit: (groups: readonly (readonly Item[])[]) => Promise<readonly (Answer | Error)[]>, most = 1000) {
    this.#commit = commit;
    this.#most = most;
  }

  add(items: readonly Item[]): Promise<Answer> {
    return new Promise((resolve, reject) => {
      this.#waiting.push({ items, resolve, reject });
      if (!this.#running) void this.#run();
    });
  }

  get idle(): boolean {
    return !this.#running;
  }

  async #run(): Promise<void> {
    this.#running = true;
    while (this.#waiting.length > 0) {
      const jobs = this.#gather();
      try {
        const answers = await this.#commit(jobs.map(({ items }) => items));
        jobs.forEach((job, index) => {
          const answer = answers[index];
          if (answer === undefined) job.reject(new Error('The commit gave no answer.'));
          else if (answer instanceof Error) job.reject(answer);
          else job.resolve(answer);
        });
      } catch (error) {
        for (const job of jobs) job.reject(error);
      }
    }
    this.#running = false;
  }

  #gather(): Job<Item, Answer>[] {
    let count = 0;
    let taken = 0;
    for (const { items } of this.#waiting) {
      if (taken > 0 && count + items.length > this.#most) break;
      count += items.length;
      taken += 1;
    }
    return this.#waiting.splice(0, taken);
  }
}
