import { caps } from '../resources/intake.js';
import { openapiDocument } from '../openapi.js';
import { html, type Html, prose } from './html.js';
import { page } from './page.js';

/** What this page reads of the contract; the rest of it is for machines. */
interface Contract {
  readonly info: { readonly title: string; readonly version: string; readonly description?: string };
  readonly tags?: readonly { readonly name: string; readonly description?: string }[];
  readonly paths?: Readonly<Record<string, Readonly<Record<string, Described>>>>;
  readonly components?: {
    readonly schemas?: Readonly<Record<string, { readonly description?: string; readonly example?: unknown }>>;
  };
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
  readonly schema?: { readonly description?: string };
}
type Content = Readonly<
  Record<
    string,
    {
      readonly example?: unknown;
      readonly examples?: Readonly<Record<string, { readonly summary?: string; readonly value?: unknown }>>;
    }
  >
>;

/** The reference page: every operation of the contract, with its parameters, examples and answers. */
export function referencePage(): string {
  const contract = openapiDocument() as Contract;
  const all = Object.entries(contract.paths ?? {}).flatMap(([path, methods]) =>
    Object.entries(methods).map(([method, operation]) => ({ path, method, operation })),
  );
  const sections = (contract.tags ?? []).map(({ name, description }) => {
    const own = all.filter(({ operation }) => operation.tags?.includes(name));
    return html`<h2 id="${name.toLowerCase()}">${name}</h2>
      <p class="soft">${description}</p>
      ${own.map(entry)}`;
  });
  const links = all.map(
    ({ path, method, operation }) =>
      html`<li><a href="#${operation.operationId}">${method.toUpperCase()} ${path}</a></li>`,
  );
  return page(
    `${contract.info.title} API ${contract.info.version}`,
    html`${prose(contract.info.description ?? '')}
      <p>
        The contract for programs: <a href="/openapi.yaml">openapi.yaml</a>. Errors:
        <a href="/docs/errors">what they mean</a>. Event types: <a href="#event-types">below</a>.
      </p>
      <p>
        Send a key with each request: <code>Authorization: Bearer &lt;key&gt;</code>. One body may have 8 MiB unless the
        server is set up otherwise, one batch ${caps.events.toLocaleString('en')} events, one event
        ${caps.eventBytes / 1024} KiB.
      </p>
      <nav>
        <ul>
          ${links}
        </ul>
      </nav>
      ${sections}
      <h2 id="event-types">Event types</h2>
      ${eventTypes(contract)}`,
  );
}

function entry({ path, method, operation }: { path: string; method: string; operation: Described }): Html {
  const parameters = operation.parameters ?? [];
  return html`<h3 id="${operation.operationId}">
      <span class="method">${method.toUpperCase()}</span> <code>${path}</code>
    </h3>
    <p><strong>${operation.summary}</strong></p>
    ${operation.description !== undefined && prose(operation.description)}
    ${
      parameters.length > 0 &&
      html`<table>
        <tr>
          <th>Parameter</th>
          <th>In</th>
          <th>Meaning</th>
        </tr>
        ${parameters.map(parameterRow)}
      </table>`
    }
    ${examplesOf('Body', operation.requestBody?.content)}
    <table>
      <tr>
        <th>Status</th>
        <th>Meaning</th>
      </tr>
      ${Object.entries(operation.responses).map(
        ([status, { description }]) =>
          html`<tr>
            <td>${status}</td>
            <td>${inline(description)}</td>
          </tr>`,
      )}
    </table>
    ${Object.entries(operation.responses)
      .filter(([status]) => status.startsWith('2'))
      .map(([status, { content }]) => examplesOf(`Answer ${status}`, content))}`;
}

function parameterRow({ name, in: place, required, description, schema }: Parameter): Html {
  return html`<tr>
    <td><code>${name}</code></td>
    <td class="soft">${place}${required === true && ', required'}</td>
    <td>${inline(description ?? schema?.description ?? '')}</td>
  </tr>`;
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
    .map(
      ({ type, summary, text }) =>
        html`<details>
          <summary>${title}: ${summary ?? type}</summary>
          <pre><code>${text}</code></pre>
        </details>`,
    )}`;
}

function eventTypes({ components }: Contract): Html {
  const types = Object.entries(components?.schemas ?? {}).filter(([name]) => /^[a-z]+\.[a-zA-Z]+$/.test(name));
  return html`${types.map(
    ([name, { description, example }]) =>
      html`<h3 id="event-${name}"><code>${name}</code></h3>
        <p>${description}</p>
        <details>
          <summary>Example</summary>
          <pre><code>${JSON.stringify(example, null, 2)}</code></pre>
        </details>`,
  )}`;
}

function inline(text: string): Html {
  return html`${text.split('`').map((piece, i) => (i % 2 === 1 ? html`<code>${piece}</code>` : html`${piece}`))}`;
}
