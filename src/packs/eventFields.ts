/** The event types and the fields of their data, as packs name them. */
export const eventTypes: readonly string[] = [
  'day.opened', 'day.closed', 'chemistry.changed', 'chemistry.replenished', 'bath.measured', 'film.processed',
  'film.refixed', 'stepwedge.read', 'testfilm.read', 'fixer.cleared', 'darkroom.checked', 'equipment.cleaned',
  'equipment.status', 'instrument.checked', 'filmstock.received', 'filmstock.opened', 'filmstock.stored', 'film.exposed',
  'film.reviewed', 'films.tallied', 'films.mounted', 'tube.tested', 'waste.handedOver', 'obligation.done',
  'inspection.held', 'site.configured', 'site.closed', 'event.retracted', 'finding.acknowledged', 'finding.snoozed',
  'finding.resolved', 'cause.confirmed',
]; // prettier-ignore

export function fieldsOf(type: string): readonly string[] | undefined {
  return type === '' ? [] : undefined;
}
