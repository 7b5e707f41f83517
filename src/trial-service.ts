import { setImmediate } from 'node:timers/promises';
import type { CheckedTexts, TrialService } from './api/services.js';
import type { Database } from './db/port.js';
import { trialSeen, trialToken } from './ledger/trial-token.js';
import type { Organisations } from './ledger/organisations.js';
import { TrialError, whatIf } from './ledger/what-if.js';
import { type Edition, PackBook } from './packs/book.js';
import { candidates, type PackText } from './packs/candidates.js';
import type { Pack } from './packs/model.js';
import { type PackRead, readPack } from './packs/reader/index.js';
import { runRuleTests, testsOf, type TestOutcome } from './trials/rule-tests.js';

/** What an organisation is judged by as things stand. */
export interface PresentPacks {
  readonly editions: readonly Edition[];
  /** The texts of them that may still come to stand, as the reader gives them. */
  readonly reads: readonly PackRead[];
}

export interface TrialParts {
  readonly database: Database;
  readonly organisations: Organisations;
  readonly present: (organisation: string) => Promise<PresentPacks>;
  readonly now: () => number;
  /** Whether a pack is published only after its trial was seen. */
  readonly required: boolean;
  /** Shared by all that try, check and publish. */
  readonly turns: Turns;
}

/** Trials and checks at once, in a process and of one organisation. */
const most = { all: 2, ofOne: 1 };
/** Events that one request may have folded. */
export const mostEvents = 200_000;
/** ms that the tests of one request may take. */
const patience = 10_000;
/** A shorter trial is no proof that somebody saw what a pack does. */
const fourWeeks = 28 * 86_400_000;

/** Packs tried out and checked, as the API asks for it: nothing is stored, and others get their turn in between. */
export function trialService({ database, organisations, present, now, required, turns }: TrialParts): TrialService {
  return {
    required,
    async seen(organisation, pack, effective, token) {
      const { editions } = await present(organisation);
      const tried = { packs: [pack], book: new PackBook(editions).hash };
      return trialSeen(organisations, organisation, tried, effective ?? now(), token);
    },

    check: (organisation, texts) =>
      turns.take(organisation, async () => {
        const { reads } = await present(organisation);
        const { packs, read, diagnostics, sound, beside } = await readAll(texts, reads);
        const named = texts.map(({ file }, index) => {
          const pack = read[index];
          return { file, ...(pack === undefined ? {} : { id: pack.id, version: pack.version }) };
        });
        return { ...(await tested(packs, beside)), packs: named, diagnostics, sound };
      }),

    whatIf: (organisation, { texts, sites, within, from, to, goOn }) =>
      turns.take(organisation, async () => {
        const { reads, editions } = await present(organisation);
        const { packs, diagnostics, sound } = await readAll(texts, reads);
        if (!sound) return { sound, diagnostics };
        const until = to ?? now();
        const request = { present: editions, packs, sites, within, from, to: until, most: mostEvents, goOn };
        const answer = await whatIf(database, organisation, request);
        const isWhole = sites === undefined && within === undefined && to === undefined;
        const isLong = from === undefined || until - from >= fourWeeks;
        const tried = { packs, from, book: new PackBook(editions).hash };
        const trial =
          isWhole && isLong && answer.failed.length === 0
            ? await trialToken(organisations, organisation, tried, answer.attention.overBudget)
            : null;
        return { sound, diagnostics, answer, to: until, trial };
      }),
  };
}

/** Reading is quick, but not for many texts that try to make it slow: others get their turn first. */
async function readAll(texts: readonly PackText[], reads: readonly PackRead[]) {
  const own: PackRead[] = [];
  for (const { file, text } of texts) {
    await setImmediate();
    own.push(readPack(text, file));
  }
  return candidates(texts, reads, own);
}

/** The packs' own tests, a rule at a time and then those of the pack, for as long as there is patience. */
export async function tested(packs: readonly Pack[], beside: readonly Pack[]): Promise<Pick<CheckedTexts, 'tests'>> {
  const until = performance.now() + patience;
  const among = new PackBook([...beside, ...packs]);
  const outcomes: TestOutcome[] = [];
  let left = 0;
  for (const pack of packs) {
    const { tests = [], rules } = pack;
    const parts = [...rules.map((rule) => ({ ...pack, tests: [], rules: [rule] })), { ...pack, tests, rules: [] }];
    for (const part of parts) {
      await setImmediate();
      if (performance.now() > until) left += testsOf(part).length;
      else outcomes.push(...runRuleTests([part], among));
    }
  }
  return { tests: { run: outcomes.length, left, failed: outcomes.filter(({ failure }) => failure !== undefined) } };
}

/** Who is at it; the others are asked to come again. */
export class Turns {
  readonly #taken = new Map<string, number>();
  #all = 0;

  async take<T>(organisation: string, work: () => Promise<T>): Promise<T> {
    const own = this.#taken.get(organisation) ?? 0;
    if (own >= most.ofOne) throw busy('Another trial or check of your packs is running; one at a time.');
    if (this.#all >= most.all) throw busy(`${this.#all} trials of packs are running here, which is as many as may.`);
    this.#taken.set(organisation, own + 1);
    this.#all += 1;
    try {
      return await work();
    } finally {
      this.#all -= 1;
      if (own === 0) this.#taken.delete(organisation);
      else this.#taken.set(organisation, own);
    }
  }
}

const busy = (message: string) => new TrialError('busy', message);
