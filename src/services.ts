import { learnedAt } from './engine/learning.js';
import { createHash, timingSafeEqual } from 'node:crypto';
import type { Logger } from 'pino';
import type { Key, Scope } from './api/keys.js';
import { scopes } from './api/keys.js';
import type {
  ConsultService,
  EventService,
  FindingService,
  Health,
  KeyService,
  Read,
  Services,
  SiteService,
} from './api/services.js';
import { readMigrations } from './db/migrations.js';
import type { Database } from './db/port.js';
import { bathsAt } from './engine/baths.js';
import { board } from './engine/board.js';
import { dueList } from './engine/due.js';
import { effectiveLimits } from './engine/limits.js';
import { notEvaluable } from './engine/not-evaluable.js';
import { measureAt } from './engine/trends/measure.js';
import { decode } from './events/decode.js';
import { listChanges, listFindings, oneFinding } from './findings/queries.js';
import { version } from './installation.js';
import type { Ledger } from './ledger/context.js';
import type { Intake } from './ledger/intake.js';
import type { KeyRecord, Keys } from './ledger/keys.js';
import type { Organisations } from './ledger/organisations.js';
import { configurationsAt, findEvents } from './ledger/configurations.js';
import { listEvents, listRejected, listSites, oneSite, unjudgedSites } from './ledger/queries.js';
import type { Incoming } from './ledger/results.js';
import { judging } from './ledger/judging.js';
import { stateAt } from './ledger/site-view.js';
import type { Metrics } from './metrics.js';
import { packService, presentPacks } from './pack-service.js';
import { unspoken } from './packs/jurisdictions.js';
import type { Shelf } from './rules.js';
import { trialService, Turns } from './trial-service.js';

/** The organisation of a server that has only one. */
export const mainOrganisation = 'main';

export interface Parts {
  readonly database: Database;
  readonly ledger: Ledger;
  readonly intake: Intake;
  readonly organisations: Organisations;
  readonly keys: Keys;
  readonly shelf: Shelf;
  readonly metrics: Metrics;
  readonly logger: Logger;
  /** STEPWEDGE_TRIALS. */
  readonly trials?: 'offered' | 'required' | undefined;
  /** STEPWEDGE_ADMIN_KEY. */
  readonly adminKey?: string | undefined;
}

/** The parts of the house as the API asks for them. */
export function createServices(parts: Parts): Services {
  const { ledger, logger, metrics } = parts;
  const present = presentPacks(parts);
  const turns = new Turns();
  return {
    now: ledger.now,
    logger,
    keys: keyService(parts),
    events: eventService(parts),
    findings: findingService(parts),
    sites: siteService(parts),
    packs: packService({ ...parts, present, turns }),
    consult: consultService(parts),
    trials: trialService({
      ...parts,
      now: ledger.now,
      present,
      required: parts.trials === 'required',
      turns,
    }),
    health: healthOf(parts),
    metrics: metrics.registry,
    observe: metrics.observe,
  };
}

function keyService({ keys, adminKey }: Parts): KeyService {
  const admin = adminKey === undefined ? undefined : sha256(adminKey);
  return {
    async find(token) {
      // In force while the variable is set, and never stored: changing it revokes the old one.
      if (admin !== undefined && timingSafeEqual(sha256(token), admin)) return operatorsKey;
      const record = await keys.find(token);
      return record === null ? null : keyOf(record);
    },
    async list(organisation) {
      return (await keys.list(organisation)).map((record) => ({ ...record, scopes: scopesOf(record) }));
    },
    async create(organisation, by, asked) {
      const record = await keys.create(organisation, by, asked);
      return { ...record, scopes: scopesOf(record) };
    },
    revoke: (organisation, by, id) => keys.revoke(organisation, by, id),
  };
}

const operatorsKey: Key = {
  id: 'STEPWEDGE_ADMIN_KEY',
  organisation: mainOrganisation,
  name: 'STEPWEDGE_ADMIN_KEY',
  scopes: ['admin'],
  sites: null,
  sources: null,
};

function keyOf(record: KeyRecord): Key {
  const { id, organisation, name, sites, sources } = record;
  return { id, organisation, name, scopes: scopesOf(record), sites, sources };
}

function scopesOf(record: KeyRecord): Scope[] {
  return scopes.filter((scope) => record.scopes.includes(scope));
}

function sha256(text: string): Buffer {
  return createHash('sha256').update(text).digest();
}

function eventService({ database, ledger, intake, organisations }: Parts): EventService {
  return {
    async reader(organisation) {
      const hashPatient = await organisations.patientHash(organisation);
      return (body, size) => readEvent(body, { now: ledger.now(), hashPatient, size });
    },
    accept: (organisation, events) => intake.accept(organisation, events),
    recordRejected: (organisation, refused) => intake.recordRejected(organisation, refused),
    list: (organisation, filter, paging) => listEvents(database, organisation, filter, paging),
    find: (organisation, places) => findEvents(database, organisation, places),
    rejected: (organisation, filter, paging) => listRejected(database, organisation, filter, paging),
  };
}

function readEvent(body: unknown, options: Parameters<typeof decode>[1]): Read {
  const decoded = decode(body, options);
  // An event of the ledger is one of the catalogue's: `decode` has held it against the schema of its type.
  if (decoded.ok) return { ok: true, incoming: decoded as Incoming };
  const { source, id, faults } = decoded;
  const { site, type } = typeof body === 'object' && body !== null ? (body as Record<string, unknown>) : {};
  return { ok: false, refusal: { source, id, site: text(site), type: text(type), faults } };
}

const text = (value: unknown): string | undefined => (typeof value === 'string' ? value : undefined);

function findingService({ database }: Parts): FindingService {
  return {
    list: (organisation, filter, paging) => listFindings(database, organisation, filter, paging),
    one: (organisation, id) => oneFinding(database, organisation, id),
    changes: (organisation, filter, paging) => listChanges(database, organisation, filter, paging),
  };
}

function siteService({ database, ledger }: Parts): SiteService {
  return {
    list: (organisation, sites, paging) => listSites(database, organisation, sites, paging),
    one: (organisation, site) => oneSite(database, organisation, site),
    configurations: (organisation, site, at) => configurationsAt(database, organisation, site, at),
    async board(organisation, site, at) {
      const view = await stateAt(ledger, organisation, site, at);
      if (view === null || view.state.site === null) return null;
      return { board: board(view.state, at, view.book), warnings: unspoken(view.book, view.state.site, at) };
    },
    async due(organisation, site, at) {
      const view = await stateAt(ledger, organisation, site, at);
      return view === null || view.state.site === null ? null : dueList(view.state, at, view.book);
    },
    async limits(organisation, site, at) {
      const view = await stateAt(ledger, organisation, site, at);
      if (view === null || view.state.site === null) return null;
      return { items: effectiveLimits(view.state, at, view.book), warnings: unspoken(view.book, view.state.site, at) };
    },
    async notEvaluable(organisation, site, at) {
      const view = await stateAt(ledger, organisation, site, at);
      return view === null || view.state.site === null ? null : notEvaluable(view.state, at, view.book);
    },
    async measure(organisation, site, name, at) {
      const view = await stateAt(ledger, organisation, site, at);
      return view === null ? null : (measureAt(view.state, name, at, view.book) ?? null);
    },
    async baths(organisation, site, at) {
      const view = await stateAt(ledger, organisation, site, at);
      return view === null || view.state.site === null ? null : bathsAt(view.state, at, view.book);
    },
    async learned(organisation, site, at) {
      const view = await stateAt(ledger, organisation, site, at);
      return view === null ? null : (learnedAt(view.state, at, view.book) ?? null);
    },
    async state(organisation, site, at) {
      const view = await stateAt(ledger, organisation, site, at);
      return view?.state ?? null;
    },
  };
}

function consultService({ ledger }: Parts): ConsultService {
  return {
    site: (organisation, site, at) => stateAt(ledger, organisation, site, at),
    book: (organisation) =>
      ledger.database.withOrganisation(organisation, async (tx) => (await judging(ledger, tx, organisation)).book),
  };
}

/** Anybody may ask, so the database is asked once a second at most. */
function healthOf({ database, shelf }: Parts): () => Promise<Health> {
  let asked = 0;
  let answer: Promise<Health> | undefined;
  async function read(): Promise<Health> {
    await database.ping();
    const unjudged = await unjudgedSites(database);
    const migrations = await readMigrations();
    return {
      database: database.kind,
      durability: database.durability,
      migration: migrations.at(-1)?.name ?? null,
      unjudgedSites: unjudged.length,
      packs: shelf.packs.length,
      version,
    };
  }
  return () => {
    const now = performance.now();
    if (answer === undefined || now - asked > 1000) {
      asked = now;
      answer = read();
    }
    return answer;
  };
}
