import type { z } from 'zod';
import { data, flag, id } from './parts.js';
import { quantity } from './quantity.js';
import { bathTemperature } from './bath.js';

/** The opening and closing round: one touch each. */
const round = {
  line: id('Processing line the round was for; left out: the whole office.', 'M1').optional(),
  lids: flag('Lids are on the tanks, or came off them.').optional(),
  levels: flag('All baths stand at their levels.').optional(),
  stirred: flag('The baths were stirred.').optional(),
  water: flag('The wash water runs, or was shut off at closing.').optional(),
  temperature: quantity('temperature', bathTemperature, { value: 68, unit: '[degF]' }).optional(),
};
const example = {
  line: 'M1',
  lids: true,
  levels: true,
  stirred: true,
  water: true,
  temperature: { value: 68, unit: '[degF]' },
};

export const dayOpened = data('The opening round before the first film.', example, round);
export const dayClosed = data('The closing round after the last film.', { line: 'M1', lids: true, water: true }, round);

export type Round = z.output<typeof dayOpened>;
