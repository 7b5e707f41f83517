import { confirmedCauses } from '../db/sql/confirmed-causes.js';
import type { Ledger } from '../ledger/context.js';
import { publish, textHash } from '../ledger/publish.js';
import { publicationsOf } from '../ledger/published.js';
import { readPack } from '../packs/reader/index.js';
import { decayed } from '../radiography/defects/learning.js';

const day = 86_400_000;
/** Weights decay: after so long they are published again, though nobody confirmed anything. */
const stale = 30 * day;

export const groupPack = 'group/confirmed-causes';

interface Confirmed {
  readonly site: string;
  readonly finding: string;
  readonly cause: string;
  readonly at: number;
}

/**
 * What an organisation's sites confirmed together becomes a pack of weights, once a day if it has changed: in force from
 * its publication, so that no past judgement moves. One site alone is no group: what it confirmed counts for it already.
 */
export class GroupCauses {
  readonly #ledger: Ledger;
  readonly #next = new Map<string, number>();

  constructor(ledger: Ledger) {
    this.#ledger = ledger;
  }

  /** Does what is due; a failure is logged and tried the next day, since intake needs none of it. */
  async whenDue(organisation: string): Promise<void> {
    const { now, log } = this.#ledger;
    if (now() < (this.#next.get(organisation) ?? -Infinity)) return;
    this.#next.set(organisation, now() + day);
    try {
      await this.#publish(organisation);
    } catch (error) {
      log.error(
        { err: error, organisation },
        'What the sites confirmed could not be published; it is tried again tomorrow.',
      );
    }
  }

  async #publish(organisation: string): Promise<void> {
    const { database, now, log } = this.#ledger;
    const [confirmed, own] = await database.withOrganisation(organisation, async (tx) => [
      await tx.query<Confirmed>(confirmedCauses, organisation),
      await publicationsOf(tx, organisation, groupPack),
    ]);
    const last = own.at(-1);
    const isGroup = new Set(confirmed.map(({ site }) => site)).size > 1;
    if (!isGroup && last === undefined) return;
    const counted = isGroup ? confirmed : [];
    // Written as of the last time it would be the same text: nothing was confirmed or taken back since.
    const isSame = last !== undefined && textHash(textOf(counted, last.published_at, own.length)) === last.hash;
    if (isSame && (!isGroup || now() - last.published_at < stale)) return;
    const text = textOf(counted, now(), own.length + 1);
    const { pack, diagnostics } = readPack(text, `${groupPack}.yaml`);
    if (pack === undefined) throw new Error(diagnostics.map(({ message }) => message).join('\n'));
    const answer = await publish(this.#ledger, organisation, { pack, text, by: 'engine' }, last?.hash ?? null);
    if ('refused' in answer && answer.refused !== 'changed') throw new Error(`It was refused: ${answer.refused}.`);
    log.info({ organisation, confirmed: confirmed.length }, 'What the sites confirmed is in force for all of them.');
  }
}

function textOf(confirmed: readonly Confirmed[], now: number, number: number): string {
  const weights = new Map<string, number>();
  for (const { cause, at } of confirmed) weights.set(cause, (weights.get(cause) ?? 0) + decayed(1, (now - at) / day));
  const rows = [...weights]
    .filter(([, weight]) => weight >= 0.001)
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([cause, weight]) => `  - { cause: ${cause}, weight: ${weight.toFixed(3)} }\n`);
  return `pack: ${groupPack}
version: 1.${number}.0
title: What the sites confirmed
authority: the sites of this organisation
layer: clinic
citation: { text: causes that people at these sites confirmed, read: practice }
${rows.length === 0 ? '' : `confirmed:\n${rows.join('')}`}`;
}
