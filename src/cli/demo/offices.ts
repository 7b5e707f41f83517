import type { SiteConfig } from '../../events/site.js';

/** An invented office of the demo's invented group: its id and how it is set up. */
export interface Office {
  readonly id: string;
  readonly config: SiteConfig;
}

const mondayToFriday = [1, 2, 3, 4, 5];

export const brackenfold: Office = {
  id: 'brackenfold',
  config: {
    name: 'Brackenfold',
    zone: 'America/Los_Angeles',
    jurisdictions: ['us', 'us-wa'],
    lines: [
      { id: 'M1', name: 'Darkroom tank', method: 'manual', chemistry: 'standard' },
      { id: 'C1', name: 'Chairside box', method: 'chairside', chemistry: 'rapid' },
    ],
    tubes: [
      { id: 'R1', name: 'Room 1', kind: 'wall' },
      { id: 'R2', name: 'Room 2', kind: 'wall' },
    ],
    workingDays: mondayToFriday,
  },
};

export const tarnsett: Office = {
  id: 'tarnsett',
  config: {
    name: 'Tarnsett',
    zone: 'America/Los_Angeles',
    jurisdictions: ['us', 'us-wa'],
    lines: [{ id: 'M1', name: 'Darkroom tank', method: 'manual', chemistry: 'standard' }],
    tubes: [
      { id: 'R1', name: 'Room 1', kind: 'wall' },
      { id: 'R2', name: 'Room 2', kind: 'wall' },
    ],
    workingDays: mondayToFriday,
  },
};

export const ostermoor: Office = {
  id: 'ostermoor',
  config: {
    name: 'Ostermoor',
    zone: 'America/Chicago',
    jurisdictions: ['us', 'us-mn'],
    lines: [
      { id: 'M1', name: 'Darkroom tank', method: 'manual', chemistry: 'standard' },
      { id: 'C1', name: 'Chairside box', method: 'chairside', chemistry: 'rapid' },
    ],
    tubes: [
      { id: 'R1', name: 'Room 1', kind: 'wall' },
      { id: 'R2', name: 'Room 2', kind: 'wall' },
      { id: 'R3', name: 'Room 3', kind: 'wall' },
    ],
    workingDays: mondayToFriday,
  },
};

export const pellquay: Office = {
  id: 'pellquay',
  config: {
    name: 'Pellquay',
    zone: 'America/Denver',
    jurisdictions: ['us', 'us-nm'],
    lines: [
      { id: 'M1', name: 'Darkroom tank', method: 'manual', chemistry: 'standard' },
      { id: 'A1', name: 'Roller processor', method: 'automatic', chemistry: 'standard' },
    ],
    tubes: [{ id: 'R1', name: 'Room 1', kind: 'wall' }],
    workingDays: mondayToFriday,
  },
};

export const offices: readonly Office[] = [brackenfold, tarnsett, ostermoor, pellquay];
