import * as z from 'zod';
import { openapiYaml } from '../openapi.js';
import { type Operation, operation } from '../operation.js';
import { errorsPage } from './errors.js';
import { referencePage } from './reference.js';
import { style } from './style.js';

/** Pages about the API, made once each, on the server and without script. They are not part of the contract. */
function text(id: string, path: string, type: string, make: () => string): Operation {
  let made: string | undefined;
  return operation({
    id,
    method: 'get',
    path,
    tag: 'Operation',
    summary: id,
    access: 'open',
    answers: { 200: { description: id, content: { [type]: { schema: z.string() } } } },
    problems: [],
    handle: () => Promise.resolve({ status: 200, type: `${type}; charset=utf-8`, body: (made ??= make()) }),
  });
}

export const docsOperations: readonly Operation[] = [
  text('openapi', '/openapi.yaml', 'application/yaml', openapiYaml),
  text('docs', '/docs', 'text/html', referencePage),
  text('docsErrors', '/docs/errors', 'text/html', errorsPage),
  text('docsStyle', '/docs/style.css', 'text/css', () => style),
];
