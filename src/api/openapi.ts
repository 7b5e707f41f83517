import { stringify } from 'yaml';
import { createDocument, type ZodOpenApiOperationObject, type ZodOpenApiResponsesObject } from 'zod-openapi';
import { version } from '../installation.js';
import { answers as recorded } from './docs/answers.js';
import type { BodySpec, Operation } from './operation.js';
import { operations } from './operations.js';
import { type ProblemCode, problemBody, problemCatalogue } from './problems.js';
import { problem } from './schemas/common.js';

/** The contract, generated from the operations that are served and the schemas that check them. */
export function openapiDocument() {
  const paths: Record<string, Record<string, ZodOpenApiOperationObject>> = {};
  for (const operation of operations) {
    (paths[operation.path] ??= {})[operation.method] = describe(operation);
  }
  return createDocument({
    openapi: '3.1.0',
    info: {
      title: 'Stepwedge',
      version,
      description:
        'Events of an office go in; findings, with the rule, the numbers and the citation, come out. Times are RFC 3339 ' +
        'with offset, units UCUM codes, errors RFC 9457 problem details with a stable `code`. Lists page by cursor. ' +
        'New fields may appear in answers; unknown ones in requests are refused with the nearest known name.',
      license: { name: 'Apache-2.0', identifier: 'Apache-2.0' },
    },
    servers: [{ url: '/' }],
    security: [{ key: [] }],
    tags: [
      { name: 'Events', description: 'What happened at an office.' },
      { name: 'Findings', description: 'What lies outside a rule, and what people did about it.' },
      { name: 'Sites', description: 'Offices: their set-up, board, limits and due dates.' },
      { name: 'Questions', description: 'Answers from rules and records; nothing is stored.' },
      { name: 'Packs', description: 'The rules.' },
      { name: 'Keys', description: 'Who may do what.' },
      { name: 'Operation', description: 'For whoever runs the server.' },
    ],
    paths,
    components: {
      securitySchemes: {
        key: { type: 'http', scheme: 'bearer', description: 'A key with the scope that the operation names.' },
      },
    },
  });
}

let text: string | undefined;
/** The same as YAML; made once. */
export function openapiYaml(): string {
  return (text ??= stringify(openapiDocument(), { lineWidth: 120, aliasDuplicateObjects: false }));
}

/** What any operation may answer. */
const always: readonly ProblemCode[] = ['rate-limited', 'internal', 'overloaded', 'unavailable'];
/** And those that write. */
const writing: readonly ProblemCode[] = ['storage-full'];
const keyed: readonly ProblemCode[] = ['unauthorised', 'forbidden'];

function describe(operation: Operation): ZodOpenApiOperationObject {
  const { id, tag, summary, access, params, query, body, answers } = operation;
  const scope =
    access === 'open' ? '' : access === 'operator' ? 'Needs `admin`, or the machine itself.' : `Needs \`${access}\`.`;
  const description = [operation.description, scope].filter((text) => text !== undefined && text !== '').join('\n\n');
  const writes = operation.method === 'get' ? [] : writing;
  const codes = [...operation.problems, ...(access === 'open' ? [] : keyed), ...always, ...writes];
  return {
    operationId: id,
    tags: [tag],
    summary,
    ...(description === '' ? {} : { description }),
    ...(access === 'open' ? { security: [] } : {}),
    ...(params === undefined && query === undefined
      ? {}
      : { requestParams: { ...(params && { path: params }), ...(query && { query }) } }),
    ...(body === undefined ? {} : { requestBody: describeBody(body) }),
    responses: { ...describeAnswers(id, answers), ...describeProblems(codes) },
  };
}

function describeBody(body: BodySpec): NonNullable<ZodOpenApiOperationObject['requestBody']> {
  if (body.kind === 'raw') return { required: true, content: body.content };
  const { required, schema, example } = body;
  return { required, content: { 'application/json': { schema, ...(example === undefined ? {} : { example }) } } };
}

function describeAnswers(id: string, answers: Operation['answers']): ZodOpenApiResponsesObject {
  return Object.fromEntries(
    Object.entries(answers).map(([status, { description, content }]) => {
      if (content === undefined) return [status, { description }];
      const json = content['application/json'];
      const example = recorded[id]?.[status];
      const shown = json && example !== undefined ? { 'application/json': { ...json, example } } : {};
      return [status, { description, content: { ...content, ...shown } }];
    }),
  ) as ZodOpenApiResponsesObject;
}

/** One response a status, an example a code. */
function describeProblems(codes: readonly ProblemCode[]): ZodOpenApiResponsesObject {
  const byStatus = new Map<number, ProblemCode[]>();
  for (const code of new Set(codes)) {
    const { status } = problemCatalogue[code];
    byStatus.set(status, [...(byStatus.get(status) ?? []), code]);
  }
  const entries = [...byStatus]
    .sort(([a], [b]) => a - b)
    .map(([status, group]) => [
      String(status),
      {
        description: group.map((code) => `\`${code}\`: ${problemCatalogue[code].title}.`).join(' '),
        content: {
          'application/problem+json': {
            schema: problem,
            examples: Object.fromEntries(group.map((code) => [code, { value: problemBody(code) }])),
          },
        },
      },
    ]);
  return Object.fromEntries(entries) as ZodOpenApiResponsesObject;
}
