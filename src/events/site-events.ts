import { z } from 'zod';
import { quantity } from './quantity.js';
import { parseInstant, isLocalDate } from './instant.js';
import { methods } from './film.js';
import { lineId } from './bath.js';
import { volume } from './chemistry.js';
import { tubeCurrent, tubeVoltage } from './exposure.js';
import { across, data, dateOrInstant, distinct, eventAttribute, flag, freeText, id, label } from './parts.js';

/** What configures a site and what takes an event back: rank 0, before anything else of the same instant. */

const known = new Map<string, boolean>();
/** Whether the platform's time zone data has this IANA zone. */
export function isZone(zone: string): boolean {
  if (!/^[A-Za-z][A-Za-z0-9_+-]*(?:\/[A-Za-z0-9_+-]+)*$/.test(zone) || zone.length > 64) return false;
  let answer = known.get(zone);
  if (answer === undefined) {
    try {
      answer = new Intl.DateTimeFormat('en', { timeZone: zone }).resolvedOptions().timeZone.length > 0;
    } catch {
      answer = false;
    }
    if (known.size < 1000) known.set(zone, answer);
  }
  return answer;
}

const zone = z
  .string()
  .refine(isZone, { error: 'must be an IANA time zone such as America/Chicago', params: { code: 'unknown-zone' } })
  .meta({ description: 'IANA time zone; a change takes effect at the next site-day.', example: 'America/Chicago' });

const chemistry = z
  .enum(['standard', 'rapid'])
  .meta({ description: 'Chemistry it usually holds.', example: 'standard' });

const line = z.strictObject({
  id: lineId,
  name: label('What people call it.', 'darkroom tank').optional(),
  method: z.enum(methods).meta({ description: 'How it processes.', example: 'manual' }),
  chemistry: chemistry.optional(),
  product: label("Products on file; they choose a maker's sheet.", 'house developer').optional(),
  volume: volume.optional(),
  safelight: z
    .strictObject({
      filter: label('The filter over it.', 'red, for intraoral film').optional(),
      power: quantity('power', { min: 0, max: 100 }, { value: 15, unit: 'W' }).optional(),
      distance: quantity('length', { min: 0, max: 10_000 }, { value: 4, unit: '[ft_i]' }).optional(),
    })
    .meta({ description: 'The safelight over the bench: filter, bulb, distance.' })
    .optional(),
  ended: flag('No longer used; a line ends, it is never removed.').optional(),
});

const tube = z.strictObject({
  id: id('The unit.', 'R1'),
  name: label('What people call it.', 'operatory 1').optional(),
  kind: z
    .enum(['wall', 'mobile', 'handHeld', 'panoramic'])
    .meta({ description: 'What kind of unit.', example: 'wall' })
    .optional(),
  tubeVoltage: tubeVoltage.optional(),
  tubeCurrent: tubeCurrent.optional(),
  coneLength: quantity('length', { min: 50, max: 2000 }, { value: 20, unit: 'cm' }).optional(),
  collimation: z
    .enum(['round', 'rectangular'])
    .meta({ description: 'Shape of the field.', example: 'round' })
    .optional(),
  ended: flag('No longer used; a unit ends, it is never removed.').optional(),
});

const jurisdiction = z
  .string()
  .regex(/^[a-z0-9]+(?:-[a-z0-9]+)*$/, { error: 'must be lower case, such as us or us-wa' })
  .max(64)
  .meta({ description: 'A jurisdiction whose packs apply.', example: 'us-wa' });

export const siteConfigured = data(
  'How the site is set up, in force from the time of the event.',
  {
    name: 'Brackenfold',
    zone: 'America/Los_Angeles',
    jurisdictions: ['us', 'us-wa'],
    lines: [{ id: 'M1', method: 'manual', chemistry: 'standard' }],
    tubes: [{ id: 'R1', kind: 'wall' }],
    workingDays: [1, 2, 3, 4],
  },
  {
    name: label('Name of the office.', 'Brackenfold'),
    zone,
    jurisdictions: distinct(jurisdiction, { max: 20 }).meta({
      description: 'Whose rules apply.',
      example: ['us', 'us-wa'],
    }),
    lines: distinct(line, { max: 50, key: (one) => one.id }).meta({ description: 'Processing lines.' }),
    tubes: distinct(tube, { max: 100, key: (one) => one.id }).meta({ description: 'X-ray units.' }),
    workingDays: distinct(z.int().min(1).max(7), { max: 7 })
      .meta({ description: 'ISO weekdays worked, 1 is Monday; left out: Monday to Friday.', example: [1, 2, 3, 4] })
      .optional(),
  },
);

export const siteClosed = across(
  data(
    'The site, or one line of it, is closed: nothing falls due meanwhile.',
    { from: '2026-01-16', to: '2026-01-19', reason: 'long weekend' },
    {
      from: dateOrInstant('First day of the closure, or the instant it begins.', '2026-01-16'),
      to: dateOrInstant('Last day of the closure (it is closed all day), or the instant work resumes.', '2026-01-19'),
      line: lineId.optional(),
      reason: freeText('Why.', 'long weekend').optional(),
    },
  ),
  ({ from, to }) => {
    if (typeof from !== 'string' || typeof to !== 'string') return true;
    if (isLocalDate(from) && isLocalDate(to)) return from <= to;
    const [begins, ends] = [parseInstant(from), parseInstant(to)];
    return begins === undefined || ends === undefined || begins < ends;
  },
  'comes before the beginning of the closure',
  'to',
);

export const eventRetracted = data(
  'An event is taken back, at its own place in the order; a correction is a retraction and a new event.',
  { source: 'pms', id: 'e-17', reason: 'typed for the wrong line' },
  {
    source: eventAttribute('The source of the event taken back.', 'pms'),
    id: eventAttribute('Its id.', 'e-17'),
    reason: freeText('Why.', 'typed for the wrong line'),
  },
);
