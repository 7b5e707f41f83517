import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import path from 'node:path';

/** The part of the standard WebAssembly interface that is used here; TypeScript has its types among those of browsers. */
declare const WebAssembly: {
  compile(bytes: Uint8Array): Promise<object>;
  instantiate(module: object, imports: Record<string, object>): Promise<{ exports: { __wbindgen_start(): void } }>;
};

let loaded: ReturnType<typeof load> | undefined;

/** The schema engine of the installed Prisma, built as WebAssembly: the one part of its migration tool that needs no download. */
export function schemaEngine() {
  return (loaded ??= load());
}

async function load() {
  // Where the engine says why it fell over.
  Object.assign(globalThis, {
    PRISMA_WASM_PANIC_REGISTRY: { set_message: (message: string) => console.error(message) },
  });
  const bindings = await import('@prisma/schema-engine-wasm/schema_engine_bg');
  const entry = createRequire(import.meta.url).resolve('@prisma/schema-engine-wasm');
  const module = await WebAssembly.compile(await readFile(path.join(path.dirname(entry), 'schema_engine_bg.wasm')));
  const { exports } = await WebAssembly.instantiate(module, { './schema_engine_bg.js': bindings });
  bindings.__wbg_set_wasm(exports);
  exports.__wbindgen_start();
  return bindings.SchemaEngine;
}
