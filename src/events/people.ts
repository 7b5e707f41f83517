import { z } from 'zod';
import { across, data, dateOrInstant, freeText, id, instant, ruleId } from './parts.js';

/**
 * What people do about findings. It is addressed to a finding, or to whatever finding of a rule and topic covers an
 * instant, so that it survives a replay that gives the finding another id (law L10).
 */
const target = {
  finding: id('The finding.', 'f-3b1c').optional(),
  rule: ruleId('The rule, when no finding is named.', 'common/wedge/strip-off').optional(),
  topic: z
    .string()
    .regex(/^[\x20-\x7e]{1,700}$/, { error: 'must be 1 to 700 printable ASCII characters' })
    .meta({ description: 'What the finding is about: kind and id.', example: 'line:M1' })
    .optional(),
  instant: instant('An instant that the finding covers.').optional(),
};

function addressed<T extends z.ZodObject>(schema: T): T {
  return across(
    schema,
    (sent) => sent.finding !== undefined || ['rule', 'topic', 'instant'].every((name) => sent[name] !== undefined),
    'must name the finding, or its rule, topic and an instant',
  );
}

export const findingAcknowledged = addressed(
  data(
    'Somebody has seen the finding.',
    { finding: 'f-3b1c', by: 'op-3' },
    { ...target, reason: freeText('Why, or what next.', 'on it').optional() },
  ),
);

export const findingSnoozed = addressed(
  data(
    'The finding is off the board for a while.',
    { finding: 'f-3b1c', until: '2026-03-12', reason: 'part ordered' },
    {
      ...target,
      until: dateOrInstant('Off the board through this day, or until this instant.', '2026-03-12'),
      reason: freeText('Why it can wait.', 'part ordered'),
    },
  ),
);

export const findingResolved = addressed(
  data(
    'Somebody found why and put it right.',
    { finding: 'f-3b1c', rootCause: 'heater unplugged', action: 'plugged in, label put on the switch' },
    {
      ...target,
      rootCause: freeText('Why it happened.', 'heater unplugged'),
      action: freeText('What was done.', 'plugged in, label put on the switch'),
      reason: freeText('Anything else.', 'see log').optional(),
    },
  ),
);

export const causeConfirmed = addressed(
  data(
    'The cause of a fault was proved; it counts for later rankings.',
    { finding: 'f-3b1c', rootCause: 'dev_cold' },
    {
      ...target,
      rootCause: id('The cause, by its id in the packs.', 'dev_cold'),
      action: freeText('What was done.', 'heater repaired').optional(),
      reason: freeText('What proved it.', 'strip normal after warming').optional(),
    },
  ),
);
