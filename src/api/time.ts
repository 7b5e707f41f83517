/** Instants leave the API as RFC 3339 in UTC with milliseconds. */
export function rfc3339(at: number): string {
  return new Date(at).toISOString();
}

/** The same for what may be absent. */
export function rfc3339Maybe(at: number | null | undefined): string | undefined {
  return at === null || at === undefined ? undefined : rfc3339(at);
}
