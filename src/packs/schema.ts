import { signs } from '../events/signs.js';
import { howOftenWords } from '../radiography/defects/likelihood.js';
import { patientSizes } from '../events/exposure.js';
import { dimensions, unitsOf } from '../events/units.js';
import { voltageRules } from '../radiography/exposure/voltage.js';
import { eventTypes, fieldsOf } from './eventFields.js';
import { facts } from './facts.js';
import type { FactDefinition } from './facts.js';
import { askedFor } from './followed-facts.js';
import { kept, measures } from './measures.js';
import { versionPattern } from './reader/version.js';
import { layers, lookups, operatorNames, readings, severities, stages, topicKinds } from './model.js';

/**
 * The JSON Schema by which editors complete and check packs while they are written: names of facts, operators, events and
 * units come from the catalogues. It is looser than the reader, which alone knows units, limits of other packs and
 * whether a rule is whole. Draft 7, the one that YAML editors know best.
 */
type Schema = Readonly<Record<string, unknown>>;

const text: Schema = { type: 'string', minLength: 1 };
const flag: Schema = { type: 'boolean' };
const words = (list: readonly string[]): Schema => ({ enum: list });
const oneOrMore = (item: Schema): Schema => ({ anyOf: [item, { type: 'array', items: item, minItems: 1 }] });
const listOf = (items: Schema, more: Schema = {}): Schema => ({ type: 'array', items, ...more });
const ref = (name: string): Schema => ({ $ref: `#/definitions/${name}` });

function object(required: Readonly<Record<string, Schema>>, optional: Readonly<Record<string, Schema>> = {}): Schema {
  return {
    type: 'object',
    additionalProperties: false,
    properties: { ...required, ...optional },
    ...(Object.keys(required).length === 0 ? {} : { required: Object.keys(required) }),
  };
}

const number = '[+-]?(\\d+(\\.\\d+)?|\\.\\d+)([eE][+-]?\\d+)?';
const amount = `^${number} +`;
const units = dimensions.flatMap((dimension) => unitsOf(dimension));
const escaped = (unit: string) => unit.replace(/[.[\]^$*+?()|{}\\]/g, '\\$&');
const id: Schema = { type: 'string', pattern: '^[a-z0-9]+(-[a-z0-9]+)*(/[a-z0-9]+(-[a-z0-9]+)*)*$', maxLength: 100 };
const unit: Schema = { enum: [...units, 1] };
const pair: Schema = listOf({ type: 'number' }, { minItems: 2, maxItems: 2 });
const date: Schema = { type: 'string', pattern: '^\\d{4}-\\d\\d-\\d\\d$' };
const fixed = '\\d{4}-\\d\\d-\\d\\dT\\d\\d:\\d\\d(:\\d\\d(\\.\\d{1,3})?)?(Z|[+-]\\d\\d:\\d\\d)?';
const instant: Schema = { type: 'string', pattern: `^${fixed}$` };
/** Of a test: fixed, or counted from its clock. */
const testTime: Schema = {
  anyOf: [
    instant,
    {
      type: 'string',
      pattern: '^(\\+ ?\\d{1,4} +(mo|wk|d|h|min)( +\\d{1,4} +(mo|wk|d|h|min))*( +\\d\\d?:\\d\\d)?|\\d\\d?:\\d\\d)$',
    },
  ],
};

function described(fact: FactDefinition): Schema {
  const unit = fact.unit === undefined ? fact.kind : `${fact.kind}, in ${fact.unit}`;
  const list = fact.words === undefined ? '' : `; ${fact.words.join(', ')}`;
  return { const: fact.name, description: `${fact.meaning} (${unit}${list}). From ${fact.fedBy.join(', ')}.` };
}

const values = oneOrMore({ type: ['string', 'number', 'boolean'] });
const literal: Schema = { type: ['string', 'number', 'boolean'] };

/** A pattern of one event type: which fields it may ask for. */
function patternOf(type: string): Schema {
  const fields = fieldsOf(type);
  const asked = fields.map(
    ({ name, words: few }) => [name, few === undefined ? values : oneOrMore(words(few))] as const,
  );
  return object(
    { event: { const: type } },
    { with: object({}, Object.fromEntries(asked)), has: oneOrMore(words(fields.map(({ name }) => name))) },
  );
}

const rule = {
  required: { id, title: text, say: ref('say'), tests: ref('tests') },
  optional: {
    for: ref('selector'),
    cause: id,
    advise: text,
    retest: text,
    caution: text,
    severity: words(severities),
    citation: ref('citation'),
    deprecated: ref('deprecated'),
  },
};

const { for: _lines, ...optionalOfRates } = rule.optional;

const definitions: Readonly<Record<string, Schema>> = {
  fact: { anyOf: [...facts.values()].map(described) },
  quantity: {
    anyOf: [
      { type: 'string', pattern: `${amount}(${units.map(escaped).join('|')})$` },
      object({ value: { type: 'number' }, unit: words(units) }),
      { type: 'number', description: 'For facts that are counts or plain numbers.' },
    ],
  },
  period: { type: 'string', pattern: '^\\d{1,6} +(mo|wk|d|h|min)$' },
  citation: object(
    { text, read: words(readings) },
    { url: { type: 'string', pattern: '^https?://' }, shown: text, note: text },
  ),
  selector: object(
    {},
    {
      method: oneOrMore(words(facts.get('run.method')?.words ?? [])),
      chemistry: oneOrMore(words(facts.get('change.kind')?.words ?? [])),
      bath: oneOrMore(words(facts.get('bath.name')?.words ?? [])),
      product: oneOrMore(text),
      line: oneOrMore(text),
    },
  ),
  bound: {
    anyOf: [
      ref('quantity'),
      ref('period'),
      object({ chart: id }, { plus: ref('quantity') }),
      object({ fact: ref('fact') }, { times: { type: 'number' } }),
    ],
  },
  condition: {
    anyOf: [
      object({ all: listOf(ref('condition'), { minItems: 1 }) }),
      object({ any: listOf(ref('condition'), { minItems: 1 }) }),
      object({ not: ref('condition') }),
      object({
        fact: ref('fact'),
        operator: words(operatorNames),
        value: {
          anyOf: [literal, listOf(literal), ref('quantity'), object({ fact: ref('fact') }), object({ limit: id })],
        },
      }),
    ],
  },
  say: { anyOf: [text, listOf(object({ say: text }, { when: ref('condition') }), { minItems: 1 })] },
  pattern: { anyOf: eventTypes.map(patternOf) },
  patterns: oneOrMore(ref('pattern')),
  test: object(
    {
      name: text,
      kind: words(['fires', 'silent', 'boundary']),
      events: listOf({
        type: 'object',
        additionalProperties: false,
        minProperties: 1,
        maxProperties: 1,
        properties: Object.fromEntries(
          eventTypes.map((type) => [
            type,
            {
              type: 'object',
              required: ['at'],
              properties: { at: testTime, repeat: { type: 'integer', minimum: 1 }, every: ref('period') },
            },
          ]),
        ),
      }),
    },
    {
      rules: oneOrMore(id),
      site: object(
        {},
        Object.fromEntries(
          ['name', 'zone', 'jurisdictions', 'lines', 'tubes', 'workingDays'].map((name) => [name, {}]),
        ),
      ),
      clock: instant,
      techniques: listOf(ref('technique')),
      until: testTime,
      expect: listOf(
        object(
          {},
          {
            rule: id,
            subject: { type: 'string', pattern: `^(${topicKinds.join('|')})( |$)` },
            line: text,
            severity: words(severities),
            status: words(['open', 'acknowledged', 'cleared', 'resolved', 'lapsed']),
            opened: testTime,
            occurrences: { type: 'integer', minimum: 0 },
            films: { type: 'integer', minimum: 0 },
            says: text,
            values: {
              type: 'object',
              propertyNames: { anyOf: [ref('fact'), { type: 'string', pattern: '^limit\\.' }] },
              additionalProperties: { anyOf: [literal, ref('quantity')] },
            },
          },
        ),
      ),
    },
  ),
  deprecated: object({ reason: text, since: date }, { replacedBy: id }),
  range: {
    anyOf: [
      { type: 'string', pattern: `^ *${number} +to +${number}( +(${units.map(escaped).join('|')}))? *$` },
      object({ chart: id, within: ref('quantity') }),
    ],
  },
  tests: listOf(ref('test'), { minItems: 3 }),
  limit: object(
    { id, of: ref('fact'), severity: words(severities) },
    {
      for: ref('selector'),
      min: ref('bound'),
      max: ref('bound'),
      range: ref('range'),
      target: {
        anyOf: [ref('range'), object({ min: ref('quantity'), max: ref('quantity') })],
      },
      role: words(['fallback', 'alternative']),
      citation: ref('citation'),
      deprecated: ref('deprecated'),
    },
  ),
  chart: object(
    {
      id,
      title: text,
      answers: id,
      by: ref('fact'),
      gives: ref('fact'),
      rows: listOf(listOf({ type: 'number' }, { minItems: 2, maxItems: 3 }), { minItems: 1 }),
    },
    {
      and: ref('fact'),
      lookup: words(lookups),
      for: ref('selector'),
      units: object({}, { by: unit, and: unit, gives: unit }),
      doubtful: listOf({ anyOf: [{ type: 'number' }, pair] }),
      gaps: listOf({ anyOf: [pair, object({}, { by: pair, and: pair })] }),
      citation: ref('citation'),
    },
  ),
  technique: object(
    {
      id,
      title: text,
      filmSpeed: words(facts.get('exposure.filmSpeed')?.words ?? []),
      tubeVoltage: ref('quantity'),
      tubeCurrent: ref('quantity'),
      rows: listOf(
        object(
          { view: oneOrMore(text) },
          { patientSize: words(patientSizes), time: ref('quantity'), pulses: { type: 'number', exclusiveMinimum: 0 } },
        ),
        { minItems: 1 },
      ),
    },
    {
      for: object({}, { site: oneOrMore(text), tube: oneOrMore(text) }),
      voltageRule: words(voltageRules),
      pulsesPerSecond: { type: 'number', exclusiveMinimum: 0 },
      citation: ref('citation'),
    },
  ),
  check: object(
    { ...rule.required, on: oneOrMore(words(eventTypes)), about: words(topicKinds), when: ref('condition') },
    {
      ...rule.optional,
      clears: words(['never', 'passing']),
      clearedBy: ref('condition'),
      join: { anyOf: [{ const: 'day' }, ref('period')] },
      same: ref('fact'),
      again: ref('period'),
      hold: words(['line', 'tube']),
    },
  ),
  duty: object(
    { ...rule.required, must: ref('patterns'), per: words(['site', 'line', 'bath', 'tube']) },
    {
      ...rule.optional,
      every: {
        anyOf: [
          ref('period'),
          object({}, { limit: id, period: ref('period'), films: { type: 'integer', minimum: 1 } }),
        ],
      },
      before: ref('patterns'),
      after: ref('patterns'),
      within: ref('period'),
      eachFilm: flag,
      counts: words(['always', 'whenUsed']),
      remind: ref('period'),
    },
  ),
  trend: object(
    { ...rule.required, of: words([...measures.keys()]), leastSpread: ref('quantity'), when: ref('condition') },
    {
      ...rule.optional,
      centre: { anyOf: [words(['setup', 'own']), ref('quantity')] },
      atLeast: { type: 'integer', minimum: 5, maximum: kept.readings },
      smoothing: { type: 'number', exclusiveMinimum: 0, maximum: 1 },
      also: oneOrMore(words(askedFor)),
      forecast: object({ limit: id, within: ref('days') }),
    },
  ),
  rate: object(
    {
      ...rule.required,
      of: words(['retakes', 'rejects']),
      per: words(['site', 'tube', 'operator']),
      over: ref('days'),
      atLeast: { type: 'integer', minimum: 1 },
      against: { anyOf: [{ const: 'rest' }, ref('quantity')] },
      when: ref('condition'),
    },
    optionalOfRates,
  ),
  days: { type: 'string', pattern: '^\\d{1,2} +(d|wk)$' },
  name: { type: 'string', pattern: '^[A-Za-z0-9]+(_[A-Za-z0-9]+)*$', maxLength: 60 },
  sign: words(signs),
  table: object({ id: ref('name'), title: text, lineage: text }, { url: text }),
  described: object({ id: ref('sign'), title: text, about: text }, { excludes: oneOrMore(ref('sign')) }),
  defect: object(
    {
      id: ref('name'),
      title: text,
      stage: words(stages),
      affects: words(['film', 'run']),
      retake: words(['now', 'after']),
      act: text,
    },
    {
      prior: { type: 'string', pattern: `${amount}%$` },
      salvage: text,
      test: object({ say: text, minutes: { type: 'number', exclusiveMinimum: 0 } }),
      after: oneOrMore(ref('name')),
      of: oneOrMore(ref('name')),
      shows: listOf(object({ sign: ref('sign') }, { tables: oneOrMore(ref('name')), often: words(howOftenWords) })),
      evidence: listOf(object({ when: ref('condition'), ratio: { type: 'number' }, say: text })),
      citation: ref('citation'),
    },
  ),
  clue: object(
    { id: ref('name'), ask: text, supports: oneOrMore(ref('name')), ratio: { type: 'number' } },
    {
      against: oneOrMore(ref('name')),
      when: ref('condition'),
      say: text,
      otherwise: { type: 'number' },
      citation: ref('citation'),
    },
  ),
};

/** The schema of a pack file. */
export function packSchema(): Schema {
  return {
    $schema: 'http://json-schema.org/draft-07/schema#',
    title: 'Rule pack',
    ...object(
      {
        pack: id,
        version: { type: 'string', pattern: versionPattern.source },
        title: text,
        authority: text,
        layer: words(layers),
      },
      {
        jurisdiction: id,
        from: date,
        to: date,
        citation: ref('citation'),
        charts: listOf(ref('chart')),
        techniques: listOf(ref('technique')),
        limits: listOf(ref('limit')),
        checks: listOf(ref('check')),
        duties: listOf(ref('duty')),
        trends: listOf(ref('trend')),
        rates: listOf(ref('rate')),
        tests: listOf(ref('test')),
        notKnown: listOf(object({ topic: text, note: text }, { citation: ref('citation') })),
        tables: listOf(ref('table')),
        signs: listOf(ref('described')),
        causes: listOf(ref('defect')),
        clues: listOf(ref('clue')),
        confirmed: listOf(object({ cause: { type: 'string' }, weight: { type: 'number', exclusiveMinimum: 0 } }, {})),
      },
    ),
    definitions,
  };
}

/** As committed under rules/: `npm run schema` writes it anew. */
export function packSchemaText(): string {
  return `${JSON.stringify(packSchema(), null, 2)}\n`;
}
