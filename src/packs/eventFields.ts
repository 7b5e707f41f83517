import { z } from 'zod';
import { catalogue, isEventType } from '../events/catalogue.js';
import { parseQuantity } from '../events/units.js';

export { eventTypes, isEventType } from '../events/catalogue.js';

/** A field of an event's data by its dotted name, with the words it may hold if it is one (or a list) of a few. */
export interface EventField {
  readonly name: string;
  readonly words?: readonly string[];
}

const known = new Map<string, readonly EventField[]>();

/** The fields of a type's data, parts by dotted name (`developer.temperature`); none for an unknown type. */
export function fieldsOf(type: string): readonly EventField[] {
  let fields = known.get(type);
  if (fields === undefined) {
    fields = isEventType(type) ? [...walk(catalogue[type].schema, '')] : [];
    known.set(type, fields);
  }
  return fields;
}

function* walk(schema: z.core.$ZodType, prefix: string): Generator<EventField> {
  if (!(schema instanceof z.ZodObject)) return;
  for (const [key, field] of Object.entries(schema.shape as z.core.$ZodShape)) {
    const inner = bare(field);
    const name = `${prefix}${key}`;
    // Of a list, such as the signs of a film, the words that it may hold.
    const one = inner instanceof z.ZodArray ? bare(inner.def.element) : inner;
    const words = one instanceof z.ZodEnum ? one.options.map(String) : undefined;
    yield words === undefined ? { name } : { name, words };
    if (!isQuantity(inner)) yield* walk(inner, `${name}.`);
  }
}

function bare(schema: z.core.$ZodType): z.core.$ZodType {
  return schema instanceof z.ZodOptional || schema instanceof z.ZodDefault ? bare(schema.def.innerType) : schema;
}

function isQuantity(schema: z.core.$ZodType): boolean {
  return schema instanceof z.ZodObject && 'value' in schema.shape && 'unit' in schema.shape;
}

/**
 * Data as a pack's tests write it, `{ temperature: 71 [degF] }`, as an office would send it: texts that stand where the
 * catalogue has a quantity become `{ value, unit }`. Nothing else is changed; what does not fit stays for the schema to
 * refuse.
 */
export function asSent(type: string, data: Readonly<Record<string, unknown>>): Record<string, unknown> {
  return isEventType(type) ? (sent(catalogue[type].schema, data) as Record<string, unknown>) : { ...data };
}

function sent(schema: z.core.$ZodType, value: unknown): unknown {
  const inner = bare(schema);
  if (typeof value === 'string') {
    const takesQuantity = isQuantity(inner) || (inner instanceof z.ZodUnion && inner.def.options.some(isQuantity));
    const parsed = takesQuantity ? parseQuantity(value) : undefined;
    return parsed === undefined ? value : { value: parsed.value, unit: parsed.unit };
  }
  if (Array.isArray(value)) {
    const element = inner instanceof z.ZodArray ? inner.def.element : undefined;
    return element === undefined ? value : value.map((item) => sent(element, item));
  }
  if (typeof value !== 'object' || value === null) return value;
  const shape: z.core.$ZodShape = inner instanceof z.ZodObject ? inner.shape : {};
  return Object.fromEntries(
    Object.entries(value).map(([key, item]) => {
      const field = Object.hasOwn(shape, key) ? shape[key] : undefined;
      return [key, field === undefined ? item : sent(field, item)];
    }),
  );
}
