import { readFile } from 'node:fs/promises';
import { describe, expect, test } from '@jest/globals';
import openapiTypescript, { astToString } from 'openapi-typescript';
import { parse } from 'yaml';
import { answers } from '../../src/api/docs/answers.js';
import { referencePage } from '../../src/api/docs/reference.js';
import { findingStates } from '../../src/engine/finding.js';
import { faultCodes as packFaultCodes } from '../../src/packs/reader/diagnostic.js';
import { layers, severities } from '../../src/packs/model.js';
import { ledgerFaults } from '../../src/api/docs/errors.js';
import { docsOperations } from '../../src/api/docs/pages.js';
import { openapiYaml } from '../../src/api/openapi.js';
import { operations } from '../../src/api/operations.js';
import { problemCatalogue, problemCodes } from '../../src/api/problems.js';
import { exampleEvent } from '../../src/api/schemas/events.js';
import { variables } from '../../src/config.js';
import { eventTypes } from '../../src/events/catalogue.js';
import { decode } from '../../src/events/decode.js';
import { faultCodes } from '../../src/events/faults.js';

const file = (path: string): Promise<string> => readFile(new URL(`../../${path}`, import.meta.url), 'utf8');

interface Contract {
  paths: Record<
    string,
    Record<
      string,
      {
        operationId: string;
        parameters?: { name: string; description?: string }[];
        responses: Record<string, unknown>;
        security?: unknown[];
      }
    >
  >;
  components: { schemas: Record<string, { properties?: Record<string, unknown>; description?: string }> };
}
const contract = parse(openapiYaml()) as Contract;

describe('openapi.yaml', () => {
  test('is what the code generates: run `npm run openapi` after a change of the API', async () => {
    expect((await file('openapi.yaml')) === openapiYaml()).toBe(true);
  });

  test('and so are the types of the client', async () => {
    const banner = /^\/\*\*\s+\* This file was auto-generated[^]*?\*\/\s+/;
    const generated = astToString(await openapiTypescript(openapiYaml()));
    const kept = (await file('src/api/client/schema.d.ts')).replace(banner, '');
    expect(kept.trim() === generated.replace(banner, '').trim()).toBe(true);
  });

  test('describes exactly the operations that are served', () => {
    const described = Object.entries(contract.paths).flatMap(([path, methods]) =>
      Object.keys(methods).map((method) => `${method} ${path}`),
    );
    expect(described.sort()).toEqual(operations.map(({ method, path }) => `${method} ${path}`).sort());
    const ids = [...operations, ...docsOperations].map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
  });

  test('every operation says who may use it and what may go wrong', () => {
    for (const { id, method, path, access } of operations) {
      const described = contract.paths[path]?.[method];
      expect(described?.operationId).toBe(id);
      const statuses = Object.keys(described?.responses ?? {});
      expect(statuses).toEqual(
        expect.arrayContaining(['429', '500', '503', ...(access === 'open' ? [] : ['401', '403'])]),
      );
    }
  });

  test('every parameter says what it means', () => {
    const silent = Object.entries(contract.paths).flatMap(([path, methods]) =>
      Object.values(methods).flatMap(({ parameters = [] }) =>
        parameters.flatMap(({ name, description }) => (description ? [] : [`${path} ${name}`])),
      ),
    );
    expect(silent).toEqual([]);
  });

  test('every event type is a schema, with an example that the server takes', () => {
    expect(eventTypes.length).toBeGreaterThan(30);
    for (const type of eventTypes) {
      const schema = contract.components.schemas[type];
      expect(schema?.description).toBeTruthy();
      expect(Object.keys(schema?.properties ?? {})).toEqual(
        expect.arrayContaining(['specversion', 'time', 'site', 'data']),
      );
      const read = decode(exampleEvent(type), {
        now: Date.parse('2026-03-12T00:00:00Z'),
        hashPatient: (token) => token,
      });
      expect(read.ok ? [] : [type, ...read.faults]).toEqual([]);
    }
  });
});

describe('the page /docs', () => {
  const text = referencePage();

  test('explains every severity, state and layer, and every link within leads somewhere', () => {
    for (const word of [...severities, ...findingStates, ...layers])
      expect(text).toContain(`<td><code>${word}</code></td>`);
    const ids = new Set([...text.matchAll(/ id="([^"]+)"/g)].map(([, id]) => id));
    const targets = [...text.matchAll(/ href="#([^"]+)"/g)].map(([, id]) => id);
    expect(targets.length).toBeGreaterThan(50);
    expect(targets.filter((id) => !ids.has(id))).toEqual([]);
  });

  test('shows allowed words, and an answer of a server for what answers with JSON', () => {
    expect(text).toContain('<code>developer</code>, <code>fixer</code>, <code>wash</code>');
    expect([...text.matchAll(/<summary>Answer 20\d: example<\/summary>/g)].length).toBe(
      Object.values(answers).flatMap((each) => Object.keys(each)).length,
    );
    expect(text).toContain('Developed 3:30 at 71 F; minimum 4:00. 0:30 short.');
  });
});

describe('the documents', () => {
  /** Cells of tables, without the blanks that align them. */
  const rows = async (path: string): Promise<string> => (await file(path)).replaceAll(/ +\|/g, ' |');

  test('docs/errors.md explains every code, with its status', async () => {
    const text = await rows('docs/errors.md');
    for (const code of problemCodes) expect(text).toContain(`| \`${code}\` | ${problemCatalogue[code].status} |`);
    for (const code of [...Object.keys(faultCodes), ...Object.keys(ledgerFaults)])
      expect(text).toContain(`| \`${code}\` |`);
  });

  test('docs/configuration.md lists every variable', async () => {
    const text = await rows('docs/configuration.md');
    const listed = [...text.matchAll(/^\| `([A-Z_]+)` \|/gm)].map(([, name]) => name);
    expect(listed.sort()).toEqual(Object.keys(variables).sort());
  });

  test('docs/api.md names every operation, and none that is not served', async () => {
    const text = await file('docs/api.md');
    const told = [...text.matchAll(/^\| `((?:GET|POST|PUT|DELETE) [^`]+)`/gm)].map(([, name]) => name);
    expect(told.sort()).toEqual(operations.map(({ method, path }) => `${method.toUpperCase()} ${path}`).sort());
  });

  test('docs/api.md lists every event type, and none that does not exist', async () => {
    const text = (await file('docs/api.md')).split('| about')[1]?.split('\n\n')[0] ?? '';
    const told = [...text.matchAll(/`([a-z]+\.[a-zA-Z]+)`/g)].map(([, name]) => name);
    expect(told.sort()).toEqual([...eventTypes].sort());
  });

  test('docs/errors.md has no code that does not exist', async () => {
    const text = await file('docs/errors.md');
    const told = [...text.matchAll(/^\| `([a-z-]+)` +\|/gm)].map(([, code]) => code ?? '');
    const known = new Set<string>([
      ...problemCodes,
      ...Object.keys(faultCodes),
      ...Object.keys(ledgerFaults),
      ...Object.keys(packFaultCodes),
    ]);
    expect(told.length).toBeGreaterThan(60);
    expect(told.filter((code) => !known.has(code))).toEqual([]);
  });
});
