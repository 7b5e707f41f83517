import type { Transaction } from '../db/port.js';
import { importOrganisationRow } from '../db/sql/import-organisation.js';
import { recordAdmin } from '../ledger/admin-audit.js';
import { Books } from '../ledger/books.js';
import type { Ledger } from '../ledger/context.js';
import { fetchHeads } from '../ledger/heads.js';
import { judgedBy } from '../ledger/judged-by.js';
import { type Judging, judging } from '../ledger/judging.js';
import { Keys } from '../ledger/keys.js';
import { checkId } from '../ledger/organisations.js';
import { judgeWhole } from '../ledger/rejudge.js';
import type { Counts } from './account.js';
import { Batch } from './batch.js';
import { TransferError } from './error.js';
import type { LineOf } from './lines.js';
import type { ReadLine } from './read.js';

export interface ImportOptions {
  /** Another id than it had. */
  readonly organisation?: string | undefined;
  /** Where the findings differ from what this release and its packs say, bring them in line instead of refusing. */
  readonly rejudge?: boolean | undefined;
}

export interface Imported {
  readonly organisation: string;
  readonly counts: Readonly<Counts>;
  /** The file's, as its export told. */
  readonly sha256: string;
  /** Findings that were brought in line, and at how many sites. */
  readonly changed: { readonly findings: number; readonly sites: number };
  /** Sites whose events are there and not judged. */
  readonly unjudged: readonly string[];
  /** An API key with all rights; it cannot be had again. */
  readonly key: string;
}

/**
 * Makes an organisation out of its file (see `readLines`), in one transaction: it is there as a whole, or not at all. What
 * is said in the file is written word for word; then every site is folded from its first event by this release and its
 * packs, and what the fold says must be what the file says. Checkpoints come out of that fold.
 *
 * @throws TransferError; OrganisationError for an id that cannot be one.
 */
export async function importOrganisation(
  ledger: Ledger,
  lines: AsyncGenerator<ReadLine>,
  options: ImportOptions = {},
): Promise<Imported> {
  const first = await lines.next();
  if (first.done || first.value.line.kind !== 'header') throw new TransferError('the file has no header');
  const header = first.value.line;
  const organisation = options.organisation ?? header.organisation;
  checkId(organisation);
  const work = (tx: Transaction) => new Importing(tx, ledger, organisation, options).run(header, lines);
  return ledger.database.withOrganisation(organisation, work, { grows: true });
}

class Importing {
  readonly #rows: Batch;
  readonly #changed = { findings: 0, sites: 0 };
  readonly #unjudged: string[] = [];
  #site: LineOf<'site'> | undefined;
  #judging: Judging | undefined;

  constructor(
    private readonly tx: Transaction,
    private readonly ledger: Ledger,
    private readonly organisation: string,
    private readonly options: ImportOptions,
  ) {
    this.#rows = new Batch(tx, organisation);
  }

  async run(header: LineOf<'header'>, lines: AsyncGenerator<ReadLine>): Promise<Imported> {
    let end: LineOf<'end'> | undefined;
    for await (const read of lines) {
      const { line } = read;
      if (line.kind === 'site' || line.kind === 'rejected' || line.kind === 'end') await this.#finishSite();
      if (line.kind === 'site') this.#site = line;
      if (line.kind === 'organisation') await this.#begin(line);
      else if (line.kind === 'end') end = line;
      else if (line.kind !== 'header') await this.#rows.add(line.kind, read);
    }
    await this.#rows.flush();
    if (end === undefined) throw new TransferError('the file has no end');
    const { sha256, counts } = end;
    const { release, exported } = header;
    await recordAdmin(this.tx, this.organisation, {
      at: this.ledger.now(),
      actor: 'stepwedge import',
      change: 'organisation.imported',
      content: { organisation: header.organisation, release, exported, sha256, changed: this.#changed.findings },
    });
    const key = await this.#firstKey();
    const { organisation } = this;
    return { organisation, counts: counts as Counts, sha256, changed: this.#changed, unjudged: this.#unjudged, key };
  }

  async #begin({ name, patient_key, created_at, position }: LineOf<'organisation'>): Promise<void> {
    const values = [name, patient_key, created_at, position, this.ledger.now()];
    if ((await this.tx.execute(importOrganisationRow, this.organisation, ...values)) === 1) return;
    throw new TransferError(
      `there is an organisation ${this.organisation} in this database already; a file makes a new one and changes none. ` +
        'Import it before the first start of a server there, or under another name with --organisation',
    );
  }

  /** The site whose lines have all been read: its findings must be those of the fold. */
  async #finishSite(): Promise<void> {
    const site = this.#site;
    this.#site = undefined;
    if (site === undefined) return;
    await this.#rows.flush();
    const head = (await fetchHeads(this.tx, this.organisation, [site.site], 'write')).get(site.site);
    if (head === undefined) throw new Error(`Site ${site.site} was not written.`);
    const own = await this.#judged();
    const { judged, changes } = await judgeWhole(this.tx, own, this.organisation, head);
    if (!judged) this.#unjudged.push(site.site);
    if (changes.length > 0) {
      this.#changed.findings += changes.length;
      this.#changed.sites += 1;
    }
    // Its findings never claimed to be those of its events.
    if (site.unjudged !== null || this.options.rejudge) return;
    if (!judged) throw new TransferError(`site ${site.site} cannot be judged here: ${head.unjudged}.${advice}`);
    const [change] = changes;
    if (change === undefined) return;
    const packs =
      site.packs_hash === judgedBy(own) ? '' : ' It was judged by other packs, or by another release, than those here.';
    throw new TransferError(
      `site ${site.site} has findings (${changes.length}) that its events do not give here; the first, ${change.finding.id} ` +
        `(${change.finding.rule} on ${change.finding.topic}), would be ${change.kind}.${packs}${advice}`,
    );
  }

  /** By the packs of the file too, which stand before its sites. With books of its own: nothing of this is committed yet. */
  async #judged(): Promise<Judging> {
    const books = new Books(this.ledger.books.shipped);
    return (this.#judging ??= await judging({ ...this.ledger, books }, this.tx, this.organisation));
  }

  /** The keys of the file's place stay there. */
  async #firstKey(): Promise<string> {
    const keys = new Keys({ withOrganisation: (_organisation, work) => work(this.tx) }, this.ledger.now);
    const grant = { name: 'first key', scopes: ['admin'], sites: null, sources: null };
    return (await keys.create(this.organisation, 'stepwedge import', grant)).secret;
  }
}

const advice =
  ' Import with the packs of the place it comes from (STEPWEDGE_RULES_DIR), or have the findings brought in line with ' +
  'those that are here, each change in the trail, with --rejudge';
