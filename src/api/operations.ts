import type { Operation } from './operation.js';
import { acknowledgeFinding, resolveFinding, snoozeFinding } from './resources/finding-actions.js';
import { findingChanges, getFinding, listFindings } from './resources/findings.js';
import { getBaths } from './resources/baths.js';
import { getLearned } from './resources/learned.js';
import { consultDevelopment } from './resources/consult/development.js';
import { consultExposure } from './resources/consult/exposure.js';
import { consultStrip } from './resources/consult/strip.js';
import { consultCauses } from './resources/consult/causes.js';
import { getBoard, getDue, getLimits, getNotEvaluable } from './resources/board.js';
import { getEvents, getRejected } from './resources/events.js';
import { getEntrance, getMetrics, healthLive, healthReady } from './resources/health.js';
import { postEvents } from './resources/intake.js';
import { createKey, listKeys, revokeKey } from './resources/keys.js';
import { getMeasure } from './resources/measures.js';
import { getPack, listPacks, listPackVersions } from './resources/packs.js';
import { putPack } from './resources/publish-pack.js';
import { packCheck } from './resources/pack-check.js';
import { getSite, listSites, putSite } from './resources/sites.js';
import { whatIf } from './resources/what-if.js';

/** Every operation of the API. Fixed addresses come before those with a part that varies. */
export const operations: readonly Operation[] = [
  postEvents,
  getEvents,
  getRejected,
  listFindings,
  findingChanges,
  getFinding,
  acknowledgeFinding,
  snoozeFinding,
  resolveFinding,
  listSites,
  getSite,
  putSite,
  getBoard,
  getLimits,
  getDue,
  getNotEvaluable,
  getMeasure,
  getBaths,
  getLearned,
  consultDevelopment,
  consultExposure,
  consultStrip,
  consultCauses,
  listPacks,
  getPack,
  putPack,
  listPackVersions,
  packCheck,
  whatIf,
  listKeys,
  createKey,
  revokeKey,
  getEntrance,
  healthLive,
  healthReady,
  getMetrics,
];
