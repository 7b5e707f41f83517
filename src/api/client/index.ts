import createFetchClient from 'openapi-fetch';
import type { paths } from './schema.js';

/** A client typed by openapi.yaml: `await client.GET('/v1/sites/{id}/board', { params: { path: { id } } })`. */
export function createClient(url: string, key: string) {
  return createFetchClient<paths>({ baseUrl: url, headers: { Authorization: `Bearer ${key}` } });
}
export type Client = ReturnType<typeof createClient>;
