import type { Evaluation } from '../../engine/checks.js';
import { heardBy } from '../../engine/not-evaluable.js';
import type { SiteState } from '../../engine/state.js';
import type { RuleSet } from '../../packs/book.js';
import type { Rule } from '../../packs/model.js';
import { suppliesFor } from '../../packs/supply.js';

/** A fact that was never there when it was asked for, and the events that would supply it. */
export interface MissingFact {
  readonly fact: string;
  readonly send: readonly string[];
}

/** Why the history of a site says nothing of a rule. */
export interface Gap {
  readonly rule: string;
  /**
   * `noEvent`: nothing it listens to was ever recorded; `notEvaluable`: its facts were missing whenever it was asked;
   * `neverDone`: a duty of which no event that would meet it was ever recorded, so that what it finds may be a lack of
   * records and not of deeds.
   */
  readonly why: 'noEvent' | 'notEvaluable' | 'neverDone';
  /** How often it was asked. */
  readonly asked: number;
  readonly missing: readonly MissingFact[];
  /** Types of events that would show more. */
  readonly send: readonly string[];
}

interface Asked {
  times: number;
  judged: boolean;
  readonly missing: Set<string>;
}

/** What the history of one site cannot show of the rules on trial. */
export class Gaps {
  readonly #rules: ReadonlySet<string>;
  readonly #asked = new Map<string, Asked>();
  readonly #types = new Set<string>();

  constructor(rules: ReadonlySet<string>) {
    this.#rules = rules;
  }

  sent(type: string): void {
    this.#types.add(type);
  }

  /** A probe of the fold. */
  readonly probe = ({ check: { id }, result }: Evaluation): void => {
    if (!this.#rules.has(id)) return;
    let asked = this.#asked.get(id);
    if (asked === undefined) this.#asked.set(id, (asked = { times: 0, judged: false, missing: new Set() }));
    asked.times += 1;
    if (result !== undefined) asked.judged = true;
  };

  /** What the state keeps of checks that could not be judged: it forgets a check only once it can be. */
  note({ unevaluable }: SiteState): void {
    for (const { rule, missing } of Object.values(unevaluable)) {
      const asked = this.#asked.get(rule);
      if (asked === undefined || asked.judged) continue;
      for (const { fact } of missing) asked.missing.add(fact);
    }
  }

  /** @param rules in force when the history ends. */
  list(rules: RuleSet): Gap[] {
    return [...this.#rules].flatMap((id) => {
      const rule = rules.rules.get(id);
      return rule === undefined ? [] : (this.#gap(rule) ?? []);
    });
  }

  #gap(rule: Rule): Gap | undefined {
    if (rule.kind === 'duty') {
      const send = [...new Set(rule.must.map(({ event }) => event))];
      if (send.some((type) => this.#types.has(type))) return undefined;
      return { rule: rule.id, why: 'neverDone', asked: 0, missing: [], send };
    }
    const on = heardBy(rule);
    const asked = this.#asked.get(rule.id);
    if (asked === undefined) {
      // Heard and not asked: it is not for a line, bath or unit of this site.
      if (on.some((type) => this.#types.has(type))) return undefined;
      return { rule: rule.id, why: 'noEvent', asked: 0, missing: [], send: [...on] };
    }
    // Asked about something else, it lacks nothing: a level alone lacks no temperature.
    if (asked.judged || asked.missing.size === 0) return undefined;
    const missing = [...asked.missing].map((fact) => ({
      fact,
      send: [...new Set(suppliesFor(fact, on).map(({ event }) => event))],
    }));
    const send = [...new Set(missing.flatMap((one) => one.send))].sort();
    return { rule: rule.id, why: 'notEvaluable', asked: asked.times, missing, send };
  }
}
