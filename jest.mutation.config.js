import everyday from './jest.config.js';

/**
 * The suites that judge, for mutation testing: what holds a database or a server takes no part. MUTATION_TESTS narrows
 * them to some rooms or files, as in MUTATION_TESTS=tests/evaluators,tests/packs/chart.test.ts.
 */
const judging = ['engine', 'packs', 'evaluators', 'trials', 'published'].map((room) => `tests/${room}`);
const chosen = process.env['MUTATION_TESTS']?.split(',') ?? judging;

export default {
  ...everyday,
  testMatch: chosen.map((place) => `<rootDir>/${place}${place.endsWith('.ts') ? '' : '/**/*.test.ts'}`),
  maxWorkers: 1,
};
