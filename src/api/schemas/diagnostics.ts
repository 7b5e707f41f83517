import * as z from 'zod';
import { faultCodes } from '../../packs/reader/index.js';
import type { TestOutcome } from '../../trials/rule-tests.js';

const codes = Object.keys(faultCodes) as [string, ...string[]];

export const diagnostic = z
  .object({
    file: z.string().meta({ description: 'What the text is called in the sentences.' }),
    line: z.number().int().meta({ description: 'From 1.' }),
    column: z.number().int().meta({ description: 'From 1.' }),
    endLine: z.number().int().optional().meta({ description: 'Where the place ends.' }),
    endColumn: z.number().int().optional().meta({ description: 'The first column after the place.' }),
    code: z.enum(codes).meta({ description: 'Stable; docs/errors.md lists them.' }),
    severity: z.enum(['error', 'warning']).meta({ description: 'A pack with an error is not taken.' }),
    message: z.string().meta({ description: 'What is wrong and what is allowed.' }),
    nearest: z.string().optional().meta({ description: 'The known name that was probably meant.' }),
    path: z.string().meta({ description: 'JSON pointer to the field.' }),
    shown: z.string().meta({ description: 'As the command line prints it: the lines around the place, with a caret.' }),
  })
  .meta({ id: 'PackDiagnostic', description: 'One fault of a pack, at its place.' });

export const failedTest = z
  .object({
    rule: z.string().meta({ description: 'Full id of the rule.' }),
    test: z.string().meta({ description: 'Name of the test.' }),
    kind: z.enum(['fires', 'silent', 'boundary']).meta({ description: 'What it is to show.' }),
    failure: z.string().meta({ description: 'What was expected and what came.' }),
  })
  .meta({ id: 'PackTestFailure', description: 'A test of a pack that failed.' });

export function failedView(failed: readonly TestOutcome[] = []) {
  return failed.map(({ rule, test, kind, failure = '' }) => ({ rule, test, kind, failure }));
}
