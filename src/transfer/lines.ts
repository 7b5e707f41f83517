import { z } from 'zod';
import type { AuditRow } from '../findings/audit.js';
import type { AdminRow } from '../ledger/admin-audit.js';
import type { SiteHead } from '../ledger/heads.js';

/** The name and the version of the format. */
export const format = { name: 'stepwedge organisation', version: 1 } as const;

const whole = z.int();
const count = whole.min(0);
const text = z.string();
const name = text.min(1).max(256);
const sha256 = text.regex(/^[0-9a-f]{64}$/, { error: 'must be a SHA-256, 64 hexadecimal digits' });
/** Where a chain began: no hash. */
const before = z.union([z.literal(''), sha256], { error: 'must be a SHA-256, or empty' });
/** A number of the feed, as text: it may be larger than a number carries exactly. */
const position = text.regex(/^\d{1,18}$/, { error: 'must be up to 18 digits' });
/** Parsed already: no need to look into it. */
const json = z.unknown();
const object = z.record(text, json);

/** One shape for each kind of line. Columns as in the database; instants in ms. `sum` comes on top, see `Seal`. */
export const lineSchemas = {
  header: z.strictObject({
    kind: z.literal('header'),
    format: z.literal(format.name),
    version: z.literal(format.version),
    /** Of the release that wrote it. */
    release: text,
    organisation: text,
    /** RFC 3339. */
    exported: text,
  }),
  /** `patient_key` is a secret. `position`: of the last change in the feed. */
  organisation: z.strictObject({
    kind: z.literal('organisation'),
    name: text,
    patient_key: name,
    created_at: whole,
    position,
  }),
  admin: z.strictObject({
    kind: z.literal('admin'),
    seq: count,
    at: whole,
    actor: text,
    change: text,
    content: json,
    previous_hash: before,
    hash: sha256,
  }),
  /** One text of a pack, as it was published. */
  pack: z.strictObject({
    kind: z.literal('pack'),
    number: count,
    pack: name,
    version: name,
    hash: sha256,
    effective: whole,
    published_at: whole,
    published_by: text,
    content: text,
  }),
  site: z.strictObject({
    kind: z.literal('site'),
    site: name,
    version: count,
    last_at: whole.nullable(),
    last_rank: whole.nullable(),
    last_source: text.nullable(),
    last_id: text.nullable(),
    packs_hash: text,
    next_due: whole.nullable(),
    swept_to: whole,
    events: count,
    audit_seq: count,
    audit_hash: before,
    unjudged: text.nullable(),
  }),
  event: z.strictObject({
    kind: z.literal('event'),
    site: name,
    at: whole,
    rank: whole,
    source: name,
    id: name,
    type: name,
    subject: text.nullable(),
    data: object,
    received_at: whole,
    hash: sha256,
  }),
  finding: z.strictObject({
    kind: z.literal('finding'),
    site: name,
    revision: count,
    touched: whole,
    detail: object,
    trace: json,
    agree: z.boolean().nullable(),
  }),
  change: z.strictObject({
    kind: z.literal('change'),
    site: name,
    seq: count,
    xid: position,
    finding: name,
    revision: count,
    change: name,
    cause: name,
    at: whole,
    content: object,
    previous_hash: before,
    hash: sha256,
  }),
  /** `seq` says their order, and is a number of the database that they were refused at. */
  rejected: z.strictObject({
    kind: z.literal('rejected'),
    seq: count,
    received_at: whole,
    source: text.nullable(),
    id: text.nullable(),
    site: text.nullable(),
    type: text.nullable(),
    faults: json,
    body: json,
  }),
  /** `sha256`: over all lines before. */
  end: z.strictObject({ kind: z.literal('end'), counts: z.record(text, count), sha256 }),
};

export type Kind = keyof typeof lineSchemas;
export const kinds = Object.keys(lineSchemas) as readonly Kind[];

type Shapes = { [K in Kind]: z.infer<(typeof lineSchemas)[K]> };
/** What the file says of its rows is theirs word for word, so the shapes of the rows hold for them. */
interface Rows {
  admin: AdminRow;
  site: SiteHead;
  change: AuditRow & { readonly xid: string };
}
export type LineOf<K extends Kind> = K extends keyof Rows ? { readonly kind: K } & Rows[K] : Shapes[K];
export type Line = { [K in Kind]: LineOf<K> }[Kind];
