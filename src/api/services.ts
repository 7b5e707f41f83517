import type { LearnedView } from '../engine/learning.js';
import type { MeasureView } from '../engine/trends/measure.js';
import type { EventPlace, StandingConfigurations } from '../ledger/configurations.js';
import type { ChangeRow, FindingFilter, FindingRow } from '../findings/queries.js';
import type { EventFilter, RejectedEvent, SiteRow, StoredEvent } from '../ledger/queries.js';
import type { Logger } from 'pino';
import type { Registry } from 'prom-client';
import type { BathView } from '../engine/baths.js';
import type { Board } from '../engine/board.js';
import type { DueItem } from '../engine/due.js';
import type { EffectiveLimit } from '../engine/limits.js';
import type { NotEvaluable } from '../engine/not-evaluable.js';
import type { SiteState } from '../engine/state.js';
import type { Accepted, EventFault, Incoming } from '../ledger/results.js';
import type { PublicationRow } from '../ledger/books.js';
import type { Draft, Refusal } from '../ledger/publish.js';
import type { Rejudged } from '../ledger/rejudge-all.js';
import type { Edition, PackBook, Place } from '../packs/book.js';
import type { Unspoken } from '../packs/jurisdictions.js';
import type { PackText } from '../packs/candidates.js';
import type { Pack } from '../packs/model.js';
import type { Diagnostic } from '../packs/reader/index.js';
import type { TestOutcome } from '../trials/rule-tests.js';
import type { WhatIf } from '../trials/what-if/index.js';
import type { Key, Scope } from './keys.js';

/** Everything the API needs of the rest of the house. `src/server.ts` wires the real parts together. */
export interface Services {
  /** Server time, ms. */
  readonly now: () => number;
  readonly logger: Logger;
  readonly keys: KeyService;
  readonly events: EventService;
  readonly findings: FindingService;
  readonly sites: SiteService;
  readonly packs: PackService;
  readonly consult: ConsultService;
  readonly trials: TrialService;
  /** Rejects when the database does not answer. */
  readonly health: () => Promise<Health>;
  readonly metrics: Registry;
  /** Told of every request that reached an operation, with the seconds it took. */
  readonly observe: (operation: string, status: number, seconds: number) => void;
}

/** A page of a list. `next` is opaque and absent on the last page. */
export interface Page<Item> {
  readonly items: readonly Item[];
  readonly next?: string | undefined;
}
export interface Paging {
  readonly limit: number;
  readonly cursor?: string | undefined;
}

export interface KeyService {
  find(token: string): Promise<Key | null>;
  list(organisation: string): Promise<readonly KeyView[]>;
  /** The secret is in the answer, and nowhere else ever again. */
  create(organisation: string, by: string, asked: NewKey): Promise<KeyView & { readonly secret: string }>;
  /** False when there is no such key, or it was revoked before. */
  revoke(organisation: string, by: string, id: string): Promise<boolean>;
}
export interface NewKey {
  readonly name: string;
  readonly scopes: readonly Scope[];
  readonly sites: readonly string[] | null;
  readonly sources: readonly string[] | null;
}
export interface KeyView extends NewKey {
  readonly id: string;
  readonly createdAt: number;
  readonly revokedAt: number | null;
}

/** One event as sent, read: fit for the ledger, or refused with what could be read of its envelope. */
export type Read =
  { readonly ok: true; readonly incoming: Incoming } | { readonly ok: false; readonly refusal: Refused };
export interface Refused {
  readonly source?: string;
  readonly id?: string;
  readonly site?: string;
  readonly type?: string;
  readonly faults: readonly EventFault[];
}

export interface EventService {
  /** Reads one event as sent, with this organisation's patient hash. Never throws for what the sender did. */
  reader(organisation: string): Promise<(body: unknown, bytes: number | undefined) => Read>;
  /** Stores and judges; resolves when committed. One result for each, in order. */
  accept(organisation: string, events: readonly Incoming[]): Promise<Accepted>;
  recordRejected(organisation: string, refused: readonly Refused[]): Promise<void>;
  list(organisation: string, filter: EventFilter, paging: Paging): Promise<Page<StoredEvent>>;
  /** Those of the events that are in the ledger, with their types. */
  find(organisation: string, places: readonly EventPlace[]): Promise<readonly (EventPlace & { type: string })[]>;
  rejected(organisation: string, filter: RejectedFilter, paging: Paging): Promise<Page<RejectedEvent>>;
}
export type RejectedFilter = Pick<EventFilter, 'sites' | 'source' | 'from' | 'to'>;
export type {
  ChangeRow,
  EventFilter,
  EventPlace,
  FindingFilter,
  FindingRow,
  RejectedEvent,
  SiteRow,
  StandingConfigurations,
  StoredEvent,
};
export interface FindingService {
  list(organisation: string, filter: FindingFilter, paging: Paging): Promise<Page<FindingRow>>;
  one(organisation: string, id: string): Promise<FindingWithHistory | null>;
  changes(organisation: string, filter: Pick<FindingFilter, 'sites'>, paging: Paging): Promise<Changes>;
}
/** Changes oldest first. */
export interface FindingWithHistory extends FindingRow {
  readonly history: readonly ChangeRow[];
}
/** `next` is always there: with nothing new it is what was sent, to be asked with again later. */
export interface Changes {
  readonly items: readonly ChangeRow[];
  readonly next: string;
  readonly more: boolean;
}

export interface SiteService {
  list(organisation: string, sites: readonly string[] | undefined, paging: Paging): Promise<Page<SiteRow>>;
  one(organisation: string, site: string): Promise<SiteRow | null>;
  /** How the site was configured at exactly this instant (ms). */
  configurations(organisation: string, site: string, at: number): Promise<StandingConfigurations>;
  /** As of an instant; null when there is no such site. */
  board(organisation: string, site: string, at: number): Promise<Warned<{ board: Board }> | null>;
  due(organisation: string, site: string, at: number): Promise<readonly DueItem[] | null>;
  limits(organisation: string, site: string, at: number): Promise<Warned<{ items: readonly EffectiveLimit[] }> | null>;
  notEvaluable(organisation: string, site: string, at: number): Promise<readonly NotEvaluable[] | null>;
  /** Of each line or unit that has readings; the name is that of a measure. */
  measure(organisation: string, site: string, name: string, at: number): Promise<readonly MeasureView[] | null>;
  baths(organisation: string, site: string, at: number): Promise<readonly BathView[] | null>;
  learned(organisation: string, site: string, at: number): Promise<LearnedView | null>;
  state(organisation: string, site: string, at: number): Promise<SiteState | null>;
}
/** With what of the site's law is not checked. */
export type Warned<T> = T & { readonly warnings: readonly Unspoken[] };

/** What questions are answered from, without anything being stored. */
export interface ConsultService {
  /** A site with everything on record until an instant (ms), and what it is judged by; null when there is no such site. */
  site(organisation: string, site: string, at: number): Promise<Ground | null>;
  /** What an organisation is judged by. */
  book(organisation: string): Promise<PackBook>;
}
export interface Ground {
  readonly state: SiteState;
  readonly book: PackBook;
}

export interface PackService {
  /** What an organisation is judged by as things stand. */
  present(organisation: string): Promise<Present>;
  /** Every text there is of a pack, the shipped one first, then as they were published. Empty for an unknown id. */
  versions(organisation: string, id: string): Promise<readonly PackVersion[]>;
  text(organisation: string, id: string, version: string): Promise<StoredText | undefined>;
  /** Does work that keeps the processor busy, one for an organisation and few in all. @throws TrialError when too many are at it. */
  inTurn<T>(organisation: string, work: () => Promise<T>): Promise<T>;
  /** Reads a draft as it would be published, among the organisation's other packs, and runs its tests. Stores nothing. */
  diagnose(organisation: string, text: string, file: string): Promise<DraftRead>;
  /**
   * Stores a text for good and judges every site by it.
   * @param lastHash of the newest text of that id which the author has seen; `undefined`: they do not say.
   */
  publish(organisation: string, draft: Draft, lastHash: string | null | undefined): Promise<PublishAnswer>;
}
export interface Present {
  /** In order of id, and of one id in order of when they begin. */
  readonly editions: readonly Edition[];
  /** Versions of the shipped packs by id, those that a published text has replaced too. */
  readonly shipped: ReadonlyMap<string, string>;
  /** The places that any of them is for. */
  readonly jurisdictions: ReadonlySet<string>;
  /** What of a place's law is not checked at an instant (ms). */
  unspoken(place: Place, at: number): readonly Unspoken[];
}
export interface PackVersion {
  readonly version: string;
  /** SHA-256 of its text. */
  readonly hash: string;
  /** Absent for what is shipped. */
  readonly publication?: PublicationRow;
  /** Over which stretch of time it stands; absent when another took its place altogether. */
  readonly stands?: Edition | undefined;
}
export interface StoredText extends PackVersion {
  readonly text: string;
  /** Absent when this release cannot read it any more. */
  readonly pack?: Pack | undefined;
}
export interface DraftRead {
  readonly diagnostics: readonly Diagnosed[];
  /** Only where neither it nor a pack beside it has an error. */
  readonly pack?: Pack | undefined;
  /** Of its own tests. */
  readonly tests?: CheckedTexts['tests'];
}
export type PublishAnswer =
  Refusal | { readonly published: PublicationRow; readonly isNew: boolean; readonly replay: Rejudged };

export interface TrialService {
  /** Reads packs as they would stand beside the present ones and runs their tests. @throws TrialError */
  check(organisation: string, texts: readonly PackText[]): Promise<CheckedTexts>;
  /** What a token proves of a trial of this pack beside the present ones; undefined: nothing. */
  seen(
    organisation: string,
    pack: Pack,
    effective: number | undefined,
    token: string,
  ): Promise<{ readonly overBudget: boolean } | undefined>;
  /** Whether a pack is published only after its trial was seen. */
  readonly required: boolean;
  /** @throws TrialError */
  whatIf(organisation: string, asked: AskedTrial): Promise<TriedTexts>;
}
export type Diagnosed = Diagnostic & { /** With the lines around it. */ readonly shown: string };
export interface CheckedTexts {
  readonly packs: readonly { readonly file: string; readonly id?: string; readonly version?: string }[];
  readonly diagnostics: readonly Diagnosed[];
  /** None of the diagnostics is an error. */
  readonly sound: boolean;
  readonly tests: { readonly run: number; readonly left: number; readonly failed: readonly TestOutcome[] };
}
/** Instants in ms. */
export interface AskedTrial {
  readonly texts: readonly PackText[];
  readonly sites?: readonly string[] | undefined;
  /** With no sites named: those of these that there are. */
  readonly within?: readonly string[] | undefined;
  readonly from?: number | undefined;
  readonly to?: number | undefined;
  /** Whether anybody still waits for the answer. */
  readonly goOn: () => boolean;
}
export type TriedTexts =
  | { readonly sound: false; readonly diagnostics: readonly Diagnosed[] }
  | {
      readonly sound: true;
      readonly diagnostics: readonly Diagnosed[];
      readonly answer: WhatIf;
      readonly to: number;
      readonly trial: string | null;
    };

export interface Health {
  readonly database: 'postgresql' | 'embedded';
  readonly durability: string;
  readonly migration: string | null;
  readonly unjudgedSites: number;
  readonly packs: number;
  readonly version: string;
}
