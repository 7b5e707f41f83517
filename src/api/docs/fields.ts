import { html, type Html, inline } from './html.js';

/** The part of JSON Schema that the contract uses. */
export interface Schema {
  readonly $ref?: string;
  readonly type?: string | readonly string[];
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly items?: Schema;
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly required?: readonly string[];
  readonly anyOf?: readonly Schema[];
  readonly oneOf?: readonly Schema[];
  readonly format?: string;
  readonly description?: string;
  readonly default?: unknown;
  readonly example?: unknown;
}

/** A table of fields: name, what it may be, meaning. Objects within are told by dotted names, lists by []. */
export function fieldTable(schema: Schema | undefined): Html | undefined {
  const rows = rowsOf(schema, '');
  if (rows.length === 0) return undefined;
  return html`<table class="fields">
    <tr>
      <th>Field</th>
      <th>Kind</th>
      <th>Meaning</th>
    </tr>
    ${rows}
  </table>`;
}

function rowsOf(schema: Schema | undefined, path: string): Html[] {
  const { properties = {}, required = [] } = schema ?? {};
  return Object.entries(properties).flatMap(([name, field]) => {
    const own = `${path}${name}`;
    const row = html`<tr>
      <td><code>${own}</code>${required.includes(name) ? '' : html` <span class="soft">optional</span>`}</td>
      <td>${kind(field)}</td>
      <td>${inline(field.description ?? '')}</td>
    </tr>`;
    if (isQuantity(field)) return [row];
    return [row, ...rowsOf(field, `${own}.`), ...rowsOf(field.items, `${own}[].`)];
  });
}

/** What a value may be: its kind, or the words that are allowed. */
export function kind(schema: Schema): Html | string {
  if (schema.$ref !== undefined) {
    const name = schema.$ref.split('/').at(-1) ?? '';
    return html`<a href="#shape-${name}">${name}</a>`;
  }
  if (schema.const !== undefined) return html`<code>${JSON.stringify(schema.const)}</code>`;
  if (schema.enum !== undefined) return words(schema.enum);
  if (isQuantity(schema)) return html`quantity in ${words(schema.properties?.['unit']?.enum ?? ['UCUM'])}`;
  const ways = schema.anyOf ?? schema.oneOf;
  if (ways !== undefined) return html`${ways.map((way, at) => html`${at > 0 && ' or '}${kind(way)}`)}`;
  if (schema.items !== undefined) return html`list of ${kind(schema.items)}`;
  if (schema.format === 'date-time') return 'time';
  const types = Array.isArray(schema.type) ? (schema.type as readonly string[]) : [schema.type as string | undefined];
  return types.map((type) => plain[type ?? ''] ?? type ?? 'any').join(' or ');
}

const plain: Readonly<Record<string, string>> = {
  string: 'text',
  integer: 'whole number',
  boolean: 'true or false',
  array: 'list',
};

const words = (all: readonly unknown[]): Html =>
  html`${all.map((word, at) => html`${at > 0 && ', '}<code>${String(word)}</code>`)}`;

function isQuantity({ properties }: Schema): boolean {
  return properties !== undefined && Object.keys(properties).join() === 'value,unit';
}
