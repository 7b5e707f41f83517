import { z } from 'zod';
import { filmSize } from './film.js';
import { count, data, id, monthOrDate } from './parts.js';
import { quantity } from './quantity.js';

export const filmSpeed = z
  .enum(['D', 'E', 'F'])
  .meta({ description: 'Speed group of the film (ISO 3665).', example: 'F' });
export const lotId = id('Film lot, as printed on the box.', 'LOT-88');

const stock = {
  lot: lotId,
  speed: filmSpeed.optional(),
  filmSize: filmSize.optional(),
  count: count('How many films.', 150).optional(),
  expires: monthOrDate('Printed date; a month is good through its last day.').optional(),
  temperature: quantity('temperature', { min: -40, max: 60 }, { value: 68, unit: '[degF]' }).optional(),
  humidity: quantity('percent', { min: 0, max: 100 }, { value: 45, unit: '%' }).optional(),
};

export const filmstockReceived = data(
  'A lot of film came in.',
  { lot: 'LOT-88', speed: 'F', filmSize: '2', count: 150, expires: '2026-08' },
  stock,
);
export const filmstockOpened = data('A box of a lot was opened for use.', { lot: 'LOT-88', expires: '2026-08' }, stock);
export const filmstockStored = data(
  'Where and how a lot is kept was noted.',
  { lot: 'LOT-88', temperature: { value: 66, unit: '[degF]' }, humidity: { value: 45, unit: '%' } },
  stock,
);
