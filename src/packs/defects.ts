import { howOften, likelihoodOf } from '../radiography/defects/likelihood.js';
import type { ModelledCause } from '../radiography/defects/inference.js';
import type { ConfirmedCause, DefectCause, DefectClue, DefectSign, DefectTable, Pack } from './model.js';

/** What several packs know of faults of films, by id. */
export interface Knowledge {
  readonly tables: ReadonlyMap<string, DefectTable>;
  readonly signs: ReadonlyMap<string, DefectSign>;
  readonly causes: ReadonlyMap<string, DefectCause>;
  readonly clues: ReadonlyMap<string, DefectClue>;
  /** What the organisation's sites confirmed together: weights by cause. */
  readonly group: ReadonlyMap<string, number>;
}

export function knowledgeOf(packs: readonly Pack[]): Knowledge {
  const all = packs.flatMap(({ defects }) => defects ?? []);
  const byId = <T extends { readonly id: string }>(lists: readonly (readonly T[])[]) =>
    new Map(lists.flat().map((one) => [one.id, one]));
  return {
    tables: byId(all.map(({ tables }) => tables)),
    signs: byId(all.map(({ signs }) => signs)),
    causes: byId(all.map(({ causes }) => causes)),
    clues: byId(all.map(({ clues }) => clues)),
    group: summed(all.flatMap(({ confirmed = [] }) => confirmed)),
  };
}

function summed(confirmed: readonly ConfirmedCause[]): Map<string, number> {
  const weights = new Map<string, number>();
  for (const { cause, weight } of confirmed) weights.set(cause, (weights.get(cause) ?? 0) + weight);
  return weights;
}

/**
 * The causes as the inference takes them: an umbrella has no likelihood of its own where it has no prior, and what a table
 * lists under it counts for its members, weakened: one of them made the sign, the table does not say which.
 *
 * @param without lineages whose tables are left out, as when the model is tried on one of them
 */
export function modelOf({ causes, tables }: Knowledge, without: readonly string[] = []): ModelledCause[] {
  const lineage = new Map([...tables.values()].map((table) => [table.id, table.lineage]));
  const voices = (ids: readonly string[]) =>
    new Set(ids.map((id) => lineage.get(id) ?? id).filter((one) => !without.includes(one))).size;
  const modelled = new Map<string, Map<string, number>>();
  for (const { id, prior, shows } of causes.values()) {
    if (prior === 0) continue;
    const own = shows.map(({ sign, tables: by, often }) => [sign, likelihoodOf(voices(by), often)] as const);
    modelled.set(id, new Map(own.filter(([, chance]) => chance > 0)));
  }
  for (const { of = [], shows } of causes.values())
    for (const { sign, tables: by } of shows) {
      if (voices(by) === 0) continue;
      for (const member of of) {
        const signs = modelled.get(member);
        if (signs !== undefined && !signs.has(sign)) signs.set(sign, howOften.sometimes);
      }
    }
  return [...modelled].map(([id, signs]) => ({ id, prior: causes.get(id)?.prior ?? 0, signs }));
}

/** The causes that an umbrella is a name for, down to the last; itself, where it has a prior of its own. */
export function membersOf(causes: Knowledge['causes'], id: string, seen: readonly string[] = []): string[] {
  const cause = causes.get(id);
  if (cause === undefined || seen.includes(id)) return [];
  const members = (cause.of ?? []).flatMap((one) => membersOf(causes, one, [...seen, id]));
  return [...new Set([...(cause.prior > 0 ? [id] : []), ...members])];
}
