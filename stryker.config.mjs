/**
 * Mutation testing of the rooms that judge: each small change of the code below must be noticed by a test. It runs
 * outside the everyday suite, on a file or a folder at a time (DEVELOPERS.md). Stryker 9: later ones ask for Node 22.
 */
export default {
  mutate: ['src/packs/**/*.ts', 'src/engine/**/*.ts'],
  testRunner: 'jest',
  testRunnerNodeArgs: ['--experimental-vm-modules', '--disable-warning=ExperimentalWarning'],
  jest: { configFile: 'jest.mutation.config.js', enableFindRelatedTests: false },
  // Only the tests that reach a change are run for it.
  coverageAnalysis: 'perTest',
  // What is computed when a file is loaded would need all tests in a new process for each change.
  ignoreStatic: true,
  concurrency: 1,
  timeoutMS: 20_000,
  reporters: ['clear-text', 'json'],
  clearTextReporter: { allowColor: false, logTests: false, reportTests: false },
  jsonReporter: { fileName: 'coverage/mutation.json' },
  tempDirName: 'coverage/.stryker-tmp',
  ignorePatterns: ['dist', 'data', 'coverage', 'bench'],
  allowConsoleColors: false,
};
