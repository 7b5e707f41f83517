/** What a key may do. `admin` includes the rest. */
export const scopes = [
  'events:write',
  'findings:read',
  'findings:write',
  'packs:write',
  'reports:read',
  'admin',
] as const;
export type Scope = (typeof scopes)[number];

/** A key as the request it came with is judged by. */
export interface Key {
  readonly id: string;
  readonly organisation: string;
  readonly name: string;
  readonly scopes: readonly Scope[];
  /** Null: every site, every sender. */
  readonly sites: readonly string[] | null;
  readonly sources: readonly string[] | null;
}

export function hasScope(key: Key, scope: Scope): boolean {
  return key.scopes.includes(scope) || key.scopes.includes('admin');
}

export function mayUseSite(key: Key, site: string): boolean {
  return key.sites === null || key.sites.includes(site);
}

export function maySendAs(key: Key, source: string): boolean {
  return key.sources === null || key.sources.includes(source);
}

/** The sender name under which the API writes what people do at its other addresses. */
export const ownSource = 'stepwedge/api';

/** Whether all that `other` may reach, `key` may reach as well. Only `admin` keys make keys, and it includes the rest. */
export function isWithin(other: Pick<Key, 'sites' | 'sources'>, key: Key): boolean {
  return within(other.sites, key.sites) && within(other.sources, key.sources);
}

function within(asked: readonly string[] | null, bound: readonly string[] | null): boolean {
  return bound === null || (asked !== null && asked.every((one) => bound.includes(one)));
}
