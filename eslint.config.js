import js from '@eslint/js';
import importX from 'eslint-plugin-import-x';
import tseslint from 'typescript-eslint';

/** Rooms from the bottom of the house to its top; a room imports only from rooms before it. */
const floors = [
  ['events'],
  ['packs', 'radiography', 'statistics'],
  ['engine'],
  ['trials', 'db'],
  ['findings', 'ledger'],
  ['delivery', 'reports', 'transfer'],
  ['api', 'web'],
  ['cli'],
];
const pure = ['engine', 'packs', 'radiography', 'statistics', 'events', 'trials'];

/** For each room: what stands above it must not be imported. */
const zones = floors.flatMap((rooms, level) =>
  rooms.map((room) => ({
    target: `./src/${room}`,
    from: floors
      .slice(level + 1)
      .flat()
      .map((above) => `./src/${above}`),
    message: `src/${room} stands below: imports run one way (see DEVELOPERS.md).`,
  })),
);

export default tseslint.config(
  { ignores: ['dist', 'node_modules', 'src/db/generated', 'src/api/client/schema.d.ts', 'coverage'] },
  js.configs.recommended,
  ...tseslint.configs.strict,
  {
    files: ['**/*.ts'],
    plugins: { 'import-x': importX },
    settings: { 'import-x/resolver-next': [importX.createNodeResolver({ extensionAlias: { '.js': ['.ts', '.js'] } })] },
    rules: {
      'import-x/no-restricted-paths': ['error', { zones: zones.filter(({ from }) => from.length > 0) }],
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/no-dynamic-delete': 'off',
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', varsIgnorePattern: '^_' }],
      eqeqeq: 'error',
      // Input is checked for control characters on purpose.
      'no-control-regex': 'off',
      'no-console': 'error',
    },
  },
  {
    files: pure.map((room) => `src/${room}/**/*.ts`),
    ignores: ['src/packs/load.ts'],
    rules: {
      'no-restricted-imports': [
        'error',
        {
          patterns: [
            {
              group: ['node:*', '!node:crypto', '!node:path', '!node:url'],
              message: 'This room does no I/O: what it needs is given to it.',
            },
          ],
        },
      ],
      'no-restricted-properties': [
        'error',
        { object: 'Date', property: 'now', message: 'Time is an input of the fold.' },
        { object: 'Math', property: 'random', message: 'The fold is deterministic.' },
      ],
    },
  },
  {
    files: ['src/cli/**/*.ts', 'src/main.ts', 'src/server.ts', 'bench/**/*.ts', 'tests/**/*.ts'],
    rules: { 'no-console': 'off' },
  },
  {
    files: ['**/*.js', '**/*.mjs'],
    languageOptions: { globals: { process: 'readonly', console: 'readonly', URL: 'readonly' } },
  },
);
