import { isEventType } from '../../events/catalogue.js';
import { openapiDocument } from '../openapi.js';
import { caps } from '../resources/intake.js';
import { fieldTable, kind, type Schema } from './fields.js';
import { glossary } from './glossary.js';
import { html, type Html, inline, prose } from './html.js';
import { page } from './page.js';

/** What this page reads of the contract; the rest of it is for machines. */
interface Contract {
  readonly info: { readonly title: string; readonly version: string; readonly description?: string };
  readonly tags?: readonly { readonly name: string; readonly description?: string }[];
  readonly paths?: Readonly<Record<string, Readonly<Record<string, Described>>>>;
  readonly components?: { readonly schemas?: Readonly<Record<string, Schema>> };
}
interface Described {
  readonly operationId: string;
  readonly tags?: readonly string[];
  readonly summary?: string;
  readonly description?: string;
  readonly parameters?: readonly Parameter[];
  readonly requestBody?: { readonly content?: Content };
  readonly responses: Readonly<Record<string, { readonly description: string; readonly content?: Content }>>;
}
interface Parameter {
  readonly name: string;
  readonly in: string;
  readonly required?: boolean;
  readonly description?: string;
  readonly schema?: Schema;
}
type Content = Readonly<
  Record<
    string,
    {
      readonly schema?: Schema;
      readonly example?: unknown;
      readonly examples?: Readonly<Record<string, { readonly summary?: string; readonly value?: unknown }>>;
    }
  >
>;

/** The reference page: every operation of the contract, with its parameters, fields, examples and answers. */
export function referencePage(): string {
  const contract = openapiDocument() as Contract;
  const all = Object.entries(contract.paths ?? {}).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => ({ path, method, operation })),
  );
  const tagged = (contract.tags ?? []).map((tag) => ({
    ...tag,
    own: all.filter(({ operation }) => operation.tags?.includes(tag.name)),
  }));
  const schemas = Object.entries(contract.components?.schemas ?? {});
  return page(
    `${contract.info.title} API ${contract.info.version}`,
    html`${prose(contract.info.description ?? '')}
      <p>
        Send a key with each request: <code>Authorization: Bearer &lt;key&gt;</code>. One body may have 8 MiB unless the
        server is set up otherwise, one batch ${caps.events.toLocaleString('en')} events, one event
        ${caps.eventBytes / 1024} KiB. The examples of answers are a server’s own, their lists cut to the first items.
      </p>
      <nav>
        <p>
          <a href="#words">Words</a> · <a href="#event-types">Event types</a> · <a href="#shapes">Shapes</a> ·
          <a href="/docs/errors">Errors</a> · <a href="/openapi.yaml">openapi.yaml</a>, the contract for programs
        </p>
        ${tagged.map(
          ({ name, own }) =>
            html`<p>${name}</p>
              <ul>
                ${own.map(
                  ({ path, method, operation }) =>
                    html`<li>
                      <span class="method">${method.toUpperCase()}</span>
                      <a href="#${operation.operationId}">${path}</a> <span class="soft">${operation.summary}</span>
                    </li>`,
                )}
              </ul>`,
        )}
      </nav>
      ${glossary()}
      ${tagged.map(
        ({ name, description, own }) =>
          html`<h2 id="${name.toLowerCase()}">${name}</h2>
            <p class="soft">${description}</p>
            ${own.map(entry)}`,
      )}
      <h2 id="event-types">Event types</h2>
      ${envelope(schemas)} ${schemas.filter(([name]) => isEventType(name)).map(eventType)}
      <h2 id="shapes">Shapes</h2>
      <p class="soft">Objects that several answers share.</p>
      ${schemas.filter(([name]) => !isEventType(name)).map(shape)}`,
  );
}

function entry({ path, method, operation }: { path: string; method: string; operation: Described }): Html {
  const parameters = operation.parameters ?? [];
  const responses = Object.entries(operation.responses);
  return html`<h3 id="${operation.operationId}">
      <span class="method">${method.toUpperCase()}</span> <code>${path}</code>
    </h3>
    <p><strong>${operation.summary}</strong></p>
    ${operation.description !== undefined && prose(operation.description)}
    ${
      parameters.length > 0 &&
      html`<table class="fields">
        <tr>
          <th>Parameter</th>
          <th>Kind</th>
          <th>Meaning</th>
        </tr>
        ${parameters.map(parameterRow)}
      </table>`
    }
    ${body(operation.requestBody?.content)}
    <table>
      <tr>
        <th>Status</th>
        <th>Meaning</th>
      </tr>
      ${responses.map(
        ([status, { description, content }]) =>
          html`<tr>
            <td>${status}</td>
            <td>${inline(description)}${answerShape(content)}</td>
          </tr>`,
      )}
    </table>
    ${responses
      .filter(([status]) => status.startsWith('2'))
      .map(([status, { content }]) => examplesOf(`Answer ${status}`, content))}`;
}

function parameterRow({ name, in: place, required, description, schema }: Parameter): Html {
  const meaning = description ?? schema?.description ?? '';
  return html`<tr>
    <td><code>${name}</code> <span class="soft">${place}${required === true ? '' : ', optional'}</span></td>
    <td>${schema && kind(schema)}</td>
    <td>${inline(meaning)}</td>
  </tr>`;
}

/** The fields of a JSON body, and its examples. */
function body(content: Content | undefined): Html {
  const schema = content?.['application/json']?.schema;
  const fields = schema?.$ref === undefined ? fieldTable(schema) : html`<p>The body: ${kind(schema)}.</p>`;
  return html`${fields} ${examplesOf('Body', content)}`;
}

function answerShape(content: Content | undefined): Html | undefined {
  const schema = content?.['application/json']?.schema;
  return schema?.$ref === undefined ? undefined : html` ${kind(schema)}.`;
}

function examplesOf(title: string, content: Content | undefined): Html {
  const seen = new Set<string>();
  const blocks = Object.entries(content ?? {}).flatMap(([type, { example, examples }]) =>
    [...(example === undefined ? [] : [{ summary: undefined, value: example }]), ...Object.values(examples ?? {})].map(
      ({ summary, value }) => ({ type, summary, text: JSON.stringify(value, null, 2) }),
    ),
  );
  return html`${blocks
    .filter(({ text }) => !seen.has(text) && seen.add(text))
    .map(({ type, summary, text }) =>
      details(`${title}: ${summary ?? (type === 'application/json' ? 'example' : type)}`, text),
    )}`;
}

const details = (title: string, text: string): Html =>
  html`<details>
    <summary>${title}</summary>
    <pre><code>${text}</code></pre>
  </details>`;

type Named = readonly [string, Schema];

function envelope(schemas: readonly Named[]): Html {
  const first = schemas.find(([name]) => isEventType(name))?.[1];
  const { data: _, type: __, ...attributes } = first?.properties ?? {};
  return html`<p>
      An event is a CloudEvent: these attributes, <code>type</code>, one of the types below, and <code>data</code>,
      whose fields are told with each type. A quantity is <code>{ "value": 68, "unit": "[degF]" }</code>. Extension
      attributes of CloudEvents are let through and not kept.
    </p>
    ${fieldTable({ ...first, properties: attributes })}`;
}

function eventType([name, { description, example, properties }]: Named): Html {
  return html`<h3 id="shape-${name}"><code>${name}</code></h3>
    <p>${description}</p>
    ${fieldTable(properties?.['data'])} ${details('Example', JSON.stringify(example, null, 2))}`;
}

function shape([name, schema]: Named): Html {
  return html`<h3 id="shape-${name}">${name}</h3>
    ${schema.description !== undefined && html`<p>${inline(schema.description)}</p>`}
    ${fieldTable(schema) ?? html`<p>${kind(schema)}</p>`}`;
}
