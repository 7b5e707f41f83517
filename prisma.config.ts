import { defineConfig } from 'prisma/config';

// `prisma generate` would otherwise download a schema engine that generation never starts;
// naming any existing executable keeps an install on the npm registry alone.
process.env['PRISMA_SCHEMA_ENGINE_BINARY'] ??= process.execPath;

export default defineConfig({ schema: 'prisma/schema.prisma' });
