import { availableParallelism } from 'node:os';

/** Tests run as ES modules; swc strips the types, `npm run typecheck` checks them. */
export default {
  testEnvironment: 'node',
  roots: ['<rootDir>/tests'],
  testMatch: ['**/*.test.ts'],
  extensionsToTreatAsEsm: ['.ts'],
  moduleNameMapper: { '^(\\.{1,2}/.*)\\.js$': '$1' },
  transform: {
    '^.+\\.ts$': [
      '@swc/jest',
      { jsc: { target: 'es2022', parser: { syntax: 'typescript' } }, module: { type: 'es6' } },
    ],
  },
  testTimeout: 30_000,
  // One more than there are processors, since some tests wait; four at most: each may hold an embedded database or two. One
  // that has grown begins anew.
  maxWorkers: Math.min(4, availableParallelism() + 1),
  workerIdleMemoryLimit: '1GB',
};
