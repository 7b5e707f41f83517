import { z } from 'zod';
import { catalogue, type EventType } from '../../src/events/catalogue.js';
import { decode } from '../../src/events/decode.js';
import type { Supply } from '../../src/packs/supply.js';

/** Data of an event as small as its schema allows, made of the examples that the catalogue gives of each field. */

type Data = Record<string, unknown>;

function bare(schema: z.core.$ZodType): z.ZodType {
  return schema instanceof z.ZodOptional || schema instanceof z.ZodDefault
    ? bare(schema.def.innerType)
    : (schema as z.ZodType);
}

function shapeOf(type: EventType): Readonly<Record<string, z.ZodType>> {
  return catalogue[type].schema.shape as Record<string, z.ZodType>;
}

function exampleOf(schema: z.ZodType): unknown {
  const inner = bare(schema);
  const example: unknown = inner.meta()?.['example'];
  if (example !== undefined) return example;
  if (!(inner instanceof z.ZodObject)) throw new Error('A field has no example.');
  return Object.fromEntries(Object.entries(inner.shape).map(([key, each]) => [key, exampleOf(each as z.ZodType)]));
}

/** Put the example of a dotted field into the data, and nothing beside it. */
function put(type: EventType, data: Data, field: string): void {
  const [head = '', ...rest] = field.split('.');
  const schema = shapeOf(type)[head];
  if (schema === undefined) throw new Error(`${type} has no field ${head}.`);
  if (rest.length === 0) data[head] = exampleOf(schema);
  else {
    const inner = bare(schema) as z.ZodObject;
    const name = rest.join('.');
    data[head] = { ...(data[head] as Data | undefined), [name]: exampleOf(inner.shape[name] as z.ZodType) };
  }
}

/** The fields an event may leave out. */
export function optionalFields(type: EventType): string[] {
  return Object.entries(shapeOf(type)).flatMap(([key, schema]) => (schema.safeParse(undefined).success ? [key] : []));
}

/** What an instrument of another kind than the example's shows. */
const readings: Readonly<Record<string, Data>> = {
  timer: { reading: { value: 301, unit: 's' }, reference: { value: 300, unit: 's' } },
  densitometer: { reading: 1.5, reference: 1.52 },
};

/** The data of a supply: what every such event has, its words and fields, and the optional fields named besides. */
export function dataOf({ event, with: words = {}, fields = [] }: Supply, also: readonly string[] = []): Data {
  const type = event as EventType;
  const data: Data = {};
  const optional = optionalFields(type);
  for (const field of [...Object.keys(shapeOf(type)).filter((key) => !optional.includes(key)), ...also])
    data[field] = exampleOf(shapeOf(type)[field] as z.ZodType);
  Object.assign(data, words, readings[words['kind'] ?? '']);
  for (const field of fields) put(type, data, field);
  return data;
}

export function isValid(type: string, data: Data): boolean {
  const time = '2026-03-02T12:00:00Z';
  const sent = { specversion: '1.0', type, source: 'office', id: 'e', time, site: 'test', data };
  return decode(sent, { now: Date.parse(time), hashPatient: (token) => token }).ok;
}
