/** How much a new text of a pack asks of its version. */
export const bumps = ['none', 'patch', 'minor', 'major'] as const;
export type Bump = (typeof bumps)[number];

const parts = (version: string) => {
  const [major = 0, minor = 0, patch = 0] = version.split('.').map(Number);
  return [major, minor, patch] as const;
};

/** The version after `version` that such a change asks for. */
export function bumped(version: string, bump: Bump): string {
  const [major, minor, patch] = parts(version);
  if (bump === 'major') return `${major + 1}.0.0`;
  if (bump === 'minor') return `${major}.${minor + 1}.0`;
  return bump === 'patch' ? `${major}.${minor}.${patch + 1}` : version;
}

/** Which part of the version rose from one to the other; `none` when it stayed or fell. */
export function bumpBetween(before: string, after: string): Bump {
  const [a, b] = [parts(before), parts(after)];
  const first = a.findIndex((part, index) => part !== b[index]);
  if (first === -1 || (b[first] ?? 0) < (a[first] ?? 0)) return 'none';
  return (['major', 'minor', 'patch'] as const)[first] ?? 'none';
}

export function greatest(all: readonly Bump[]): Bump {
  return all.reduce((top, one) => (bumps.indexOf(one) > bumps.indexOf(top) ? one : top), 'none');
}
