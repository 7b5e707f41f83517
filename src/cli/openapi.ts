import { writeFile } from 'node:fs/promises';
import { openapiYaml } from '../api/openapi.js';

export async function printContract(output: string | undefined): Promise<void> {
  if (output === undefined) process.stdout.write(openapiYaml());
  else await writeFile(output, openapiYaml());
}
