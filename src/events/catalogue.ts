import type { z } from 'zod';
import { bathMeasured, fixerCleared } from './bath.js';
import { chemistryChanged, chemistryReplenished } from './chemistry.js';
import { darkroomChecked } from './darkroom.js';
import { dayClosed, dayOpened } from './day.js';
import { equipmentCleaned, equipmentStatus } from './equipment.js';
import { filmExposed } from './exposure.js';
import { filmProcessed, filmRefixed } from './film.js';
import type { Purpose } from './film.js';
import { instrumentChecked } from './instrument.js';
import { inspectionHeld, obligationDone, wasteHandedOver } from './office.js';
import { causeConfirmed, findingAcknowledged, findingResolved, findingSnoozed } from './people.js';
import { filmReviewed, filmsMounted, filmsTallied } from './review.js';
import { eventRetracted, siteClosed, siteConfigured } from './site-events.js';
import { filmstockOpened, filmstockReceived, filmstockStored } from './stock.js';
import { tubeTested } from './tube.js';
import { stepwedgeRead, testfilmRead } from './wedge.js';

interface Entry<S extends z.ZodObject> {
  /** The strict schema of `data` as sent. */
  readonly schema: S;
  /** Breaks ties of the instant (law L2). Frozen: changing one would reorder ledgers that exist. */
  readonly rank: number;
  readonly description: string;
}
const entry = <S extends z.ZodObject>(rank: number, schema: S): Entry<S> => ({
  schema,
  rank,
  description: schema.meta()?.description ?? '',
});

/** Every event type of the language, in order of rank. */
export const catalogue = {
  'site.configured': entry(0, siteConfigured),
  'site.closed': entry(0, siteClosed),
  'event.retracted': entry(0, eventRetracted),
  'instrument.checked': entry(1, instrumentChecked),
  'filmstock.received': entry(1, filmstockReceived),
  'filmstock.opened': entry(1, filmstockOpened),
  'filmstock.stored': entry(1, filmstockStored),
  'chemistry.changed': entry(2, chemistryChanged),
  'chemistry.replenished': entry(2, chemistryReplenished),
  'bath.measured': entry(3, bathMeasured),
  'fixer.cleared': entry(3, fixerCleared),
  'stepwedge.read': entry(4, stepwedgeRead),
  'testfilm.read': entry(4, testfilmRead),
  'darkroom.checked': entry(4, darkroomChecked),
  'film.exposed': entry(5, filmExposed),
  'film.processed': entry(6, filmProcessed),
  'film.refixed': entry(7, filmRefixed),
  'film.reviewed': entry(8, filmReviewed),
  'films.mounted': entry(9, filmsMounted),
  'tube.tested': entry(10, tubeTested),
  'day.opened': entry(11, dayOpened),
  'day.closed': entry(11, dayClosed),
  'equipment.cleaned': entry(11, equipmentCleaned),
  'equipment.status': entry(11, equipmentStatus),
  'films.tallied': entry(11, filmsTallied),
  'waste.handedOver': entry(11, wasteHandedOver),
  'obligation.done': entry(11, obligationDone),
  'inspection.held': entry(11, inspectionHeld),
  'finding.acknowledged': entry(12, findingAcknowledged),
  'finding.snoozed': entry(12, findingSnoozed),
  'finding.resolved': entry(12, findingResolved),
  'cause.confirmed': entry(12, causeConfirmed),
} as const;

export type EventType = keyof typeof catalogue;
export const eventTypes = Object.keys(catalogue) as readonly EventType[];

export function isEventType(type: string): type is EventType {
  return Object.hasOwn(catalogue, type);
}

/** The data of each type as an office sends it. */
export type SentData = { [T in EventType]: z.output<(typeof catalogue)[T]['schema']> };

/** Data with every quantity a plain number in its canonical unit, and teeth always in ISO 3950; see canonical.ts. */
export type Canonical<T> = T extends { value: number; unit: string }
  ? number
  : T extends { universal: readonly string[] }
    ? string[]
    : T extends readonly (infer Item)[]
      ? Canonical<Item>[]
      : T extends object
        ? { [K in keyof T]: Canonical<T[K]> }
        : T;

/** What is filled in when the sender left it out. */
interface Filled extends Partial<Record<EventType, object>> {
  'film.processed': { purpose: Purpose };
  'stepwedge.read': { difference?: { steps: number; direction: 'lighter' | 'darker' | 'same' } };
}

/** The data of each type as the ledger and the fold hold it. */
export type EventData = {
  [T in EventType]: Canonical<SentData[T]> & (T extends keyof Filled ? Filled[T] : unknown);
};
