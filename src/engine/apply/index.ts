import type { AnyEvent, LedgerEvent } from '../../events/event.js';
import type { EventType } from '../../events/catalogue.js';
import type { SiteState } from '../state.js';
import { bathMeasured, chemistryChanged, chemistryReplenished, dayOpened, fixerCleared } from './baths.js';
import { filmExposed, filmProcessed, filmRefixed, filmReviewed } from './films.js';
import { siteClosed, siteConfigured } from './site.js';
import {
  darkroomChecked,
  equipmentCleaned,
  equipmentStatus,
  filmstockOpened,
  filmstockReceived,
  filmstockStored,
  testFilmRead,
  wedgeRead,
} from './things.js';

/** What an event changes in the state; rules are judged afterwards, people's events are applied with the findings. */
export type Applier<T extends EventType> = (state: SiteState, event: LedgerEvent<T>) => void;

const appliers: { readonly [T in EventType]?: Applier<T> } = {
  'site.configured': siteConfigured,
  'site.closed': siteClosed,
  'day.opened': dayOpened,
  'chemistry.changed': chemistryChanged,
  'chemistry.replenished': chemistryReplenished,
  'bath.measured': bathMeasured,
  'fixer.cleared': fixerCleared,
  'film.exposed': filmExposed,
  'film.processed': filmProcessed,
  'film.refixed': filmRefixed,
  'film.reviewed': filmReviewed,
  'stepwedge.read': wedgeRead,
  'testfilm.read': testFilmRead,
  'filmstock.received': filmstockReceived,
  'filmstock.opened': filmstockOpened,
  'filmstock.stored': filmstockStored,
  'equipment.status': equipmentStatus,
  'equipment.cleaned': equipmentCleaned,
  'darkroom.checked': darkroomChecked,
};

export function apply(state: SiteState, event: AnyEvent): void {
  const applier = appliers[event.type] as Applier<EventType> | undefined;
  applier?.(state, event);
}
