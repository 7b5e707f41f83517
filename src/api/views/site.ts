import type { LineConfig, SiteConfig, TubeConfig } from '../../events/site.js';

/** A configuration as PUT takes it: quantities with their units again, so that what was read can be sent back. */
export function configView({ name, zone, jurisdictions, lines, tubes, workingDays }: SiteConfig) {
  return {
    name,
    timeZone: zone,
    jurisdictions,
    lines: lines.map(lineView),
    tubes: tubes.map(tubeView),
    workingDays: workingDays ?? [1, 2, 3, 4, 5],
  };
}

function lineView({ volume, safelight, ...line }: LineConfig) {
  return {
    ...line,
    volume: quantity(volume, 'mL'),
    safelight: safelight && {
      ...safelight,
      power: quantity(safelight.power, 'W'),
      distance: quantity(safelight.distance, 'mm'),
    },
  };
}

function tubeView({ tubeVoltage, tubeCurrent, coneLength, ...tube }: TubeConfig) {
  return {
    ...tube,
    tubeVoltage: quantity(tubeVoltage, 'kV'),
    tubeCurrent: quantity(tubeCurrent, 'mA'),
    coneLength: quantity(coneLength, 'mm'),
  };
}

function quantity(value: number | undefined, unit: string) {
  return value === undefined ? undefined : { value, unit };
}
