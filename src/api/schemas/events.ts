import * as z from 'zod';
import { catalogue, eventTypes, type EventType } from '../../events/catalogue.js';
import { eventAttribute, id, instant } from '../../events/parts.js';
import { fault, next, problem, when } from './common.js';

/** Events as they are sent and as they are answered. */

const rules = {
  specversion: z.literal('1.0').meta({ description: 'The CloudEvents version.' }),
  id: eventAttribute('Unique within the source.', 'e-17'),
  source: eventAttribute('The sender.', 'pms'),
  time: instant('When it happened, RFC 3339 with its offset from UTC.', '2026-03-11T09:05:00-07:00'),
  site: id('The office.', 'brackenfold'),
  subject: z.string().min(1).max(256).optional().meta({ description: 'What it is about.' }),
  datacontenttype: z.string().optional().meta({ example: 'application/json' }),
};

/** A whole event of one type, as an example; each type has an id of its own, so that all of them can be sent. */
export function exampleEvent(type: EventType): Record<string, unknown> {
  return {
    specversion: '1.0',
    id: `${type}-1`,
    source: 'pms',
    type,
    time: '2026-03-11T09:05:00-07:00',
    site: 'brackenfold',
    data: catalogue[type].schema.meta()?.['example'],
  };
}

function eventSchema(type: EventType) {
  const { specversion, id, source, time, site, subject, datacontenttype } = rules;
  return z
    .looseObject({
      specversion,
      id,
      source,
      type: z.literal(type),
      time,
      site,
      subject,
      datacontenttype,
      data: catalogue[type].schema,
    })
    .meta({ id: type, description: catalogue[type].description, example: exampleEvent(type) });
}

const [first, ...rest] = eventTypes.map(eventSchema);
if (first === undefined) throw new Error('The catalogue is empty.');

/** One CloudEvent of any type. For the contract only: intake reads events with `decode`. */
export const event = z
  .discriminatedUnion('type', [first, ...rest])
  .meta({ id: 'Event', description: 'One CloudEvent 1.0.' });
export const eventBatch = z
  .array(event)
  .max(1000)
  .meta({ id: 'EventBatch', description: 'Up to 1,000 events, in any order.' });

export const eventResult = z
  .object({
    source: z.string().optional().meta({ description: 'Of the event; absent when it could not be read.' }),
    id: z.string().optional().meta({ description: 'Of the event; absent when it could not be read.' }),
    status: z
      .enum(['accepted', 'duplicate', 'rejected'])
      .meta({ description: 'Accepted and duplicate mean committed.' }),
    findings: z.array(z.string()).meta({ description: 'Ids of the findings that speak of this event now.' }),
    notice: z
      .string()
      .optional()
      .meta({ description: 'A sentence, when it was taken but not to the effect that was probably meant.' }),
    judgement: z.literal('pending').optional().meta({ description: 'Stored; judged in the background.' }),
    problem: problem.optional(),
  })
  .meta({ id: 'EventResult' });

export const intakeAnswer = z
  .object({
    results: z.array(eventResult).meta({ description: 'One for each event, in the order sent.' }),
    findings: z
      .object({
        opened: z.array(z.string()).meta({ description: 'Ids of findings that opened.' }),
        cleared: z.array(z.string()).meta({ description: 'Of those that a later event ended.' }),
        withdrawn: z.array(z.string()).meta({ description: 'Of those that are no longer supported.' }),
      })
      .meta({ description: 'What the request did to the findings of its sites.' }),
  })
  .meta({ id: 'IntakeAnswer' });

export const storedEvent = z
  .object({
    specversion: z.literal('1.0').meta({ description: 'The CloudEvents version.' }),
    id: z.string().meta({ description: 'Unique within the source.' }),
    source: z.string().meta({ description: 'The sender.' }),
    type: z.string().meta({ description: 'The event type.' }),
    time: when.meta({ description: 'When it happened, UTC.' }),
    site: z.string().meta({ description: 'The office.' }),
    subject: z.string().optional().meta({ description: 'What it is about, if the sender said so.' }),
    data: z
      .record(z.string(), z.unknown())
      .meta({ description: 'As it was sent; a patient token is replaced by its keyed hash.' }),
    receivedat: when.meta({ description: 'When this server took it in.' }),
  })
  .meta({ id: 'StoredEvent', description: 'An event of the ledger, as a CloudEvent.' });
export const eventPage = z.object({ items: z.array(storedEvent), next }).meta({ id: 'EventPage' });

export const rejectedEvent = z
  .object({
    source: z.string().nullable().meta({ description: 'As sent; null when it could not be read.' }),
    id: z.string().nullable().meta({ description: 'As sent; null when it could not be read.' }),
    site: z.string().nullable().meta({ description: 'As sent; null when it could not be read.' }),
    type: z.string().nullable().meta({ description: 'As sent; null when it could not be read.' }),
    receivedAt: when.meta({ description: 'When it came, UTC.' }),
    faults: z.array(fault).meta({ description: 'Everything that was wrong.' }),
  })
  .meta({ id: 'RejectedEvent' });
export const rejectedPage = z.object({ items: z.array(rejectedEvent), next }).meta({ id: 'RejectedPage' });
