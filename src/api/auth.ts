import type { Request, Response } from 'express';
import { ipKeyGenerator, rateLimit } from 'express-rate-limit';
import { hasScope, type Key, maySendAs, mayUseSite, ownSource } from './keys.js';
import type { Access } from './operation.js';
import { Problem } from './problems.js';
import type { Services } from './services.js';

const challenge = { 'WWW-Authenticate': 'Bearer realm="stepwedge"' };
const badToken = { 'WWW-Authenticate': 'Bearer realm="stepwedge", error="invalid_token"' };
/** Longer than any key; what is longer is not worth hashing. */
const longestToken = 512;

export type Authenticate = (request: Request, response: Response, access: Access) => Promise<Key | null>;

/**
 * Finds the key of a request and holds it against what the operation asks for. Keys are looked up by the hash of their
 * secret and compared in constant time (`services.keys`). An address that keeps failing is asked to wait.
 * @throws Problem `unauthorised`, `forbidden`, `rate-limited`.
 */
export function authenticator(services: Services, failuresAMinute: number): Authenticate {
  const failures = rateLimit({
    windowMs: 60_000,
    // The library takes 0 for "nobody"; here it means no limit.
    limit: failuresAMinute === 0 ? Number.MAX_SAFE_INTEGER : failuresAMinute,
    standardHeaders: false,
    legacyHeaders: false,
    keyGenerator: client,
    validate: { xForwardedForHeader: false },
    // The problem is thrown below; the limiter only counts.
    handler: (_request, _response, next) => next(),
  });

  async function fail(
    request: Request,
    response: Response,
    detail: string,
    headers: Record<string, string>,
  ): Promise<never> {
    await new Promise<void>((resolve, reject) => {
      void failures(request, response, (error?: unknown) =>
        error === undefined ? resolve() : reject(error instanceof Error ? error : new Error(String(error))),
      );
    });
    throw new Problem('unauthorised', detail, { headers });
  }

  return async (request, response, access) => {
    if (access === 'open') return null;
    if (failuresAMinute > 0) {
      const seen = await failures.getKey(client(request));
      if (seen !== undefined && seen.totalHits >= failuresAMinute) {
        const seconds = Math.max(1, Math.ceil(((seen.resetTime?.getTime() ?? 0) - Date.now()) / 1000));
        throw new Problem('rate-limited', 'Too many requests without a valid key from this address.', {
          headers: { 'Retry-After': String(seconds) },
        });
      }
    }
    const header = request.headers.authorization;
    if (header === undefined) {
      if (access === 'operator' && onThisMachine(request)) return null;
      return fail(request, response, 'This needs a key: Authorization: Bearer <key>.', challenge);
    }
    const token = /^Bearer +([\x21-\x7e]+)$/i.exec(header)?.[1];
    if (token === undefined || token.length > longestToken) {
      return fail(request, response, 'The Authorization header is not of the form Bearer <key>.', badToken);
    }
    const key = await services.keys.find(token);
    if (key === null) return fail(request, response, 'The key is not known, or was revoked.', badToken);
    const scope = access === 'operator' ? 'admin' : access;
    if (!hasScope(key, scope)) {
      throw new Problem('forbidden', `The key “${key.name}” lacks the scope ${scope}.`, {
        headers: { 'WWW-Authenticate': `Bearer realm="stepwedge", error="insufficient_scope", scope="${scope}"` },
        also: { scope },
      });
    }
    // What a process counts is counted over all sites and senders.
    if (access === 'operator' && (key.sites !== null || key.sources !== null)) {
      throw new Problem('forbidden', `The key “${key.name}” is bound; this needs one without bounds.`);
    }
    return key;
  };
}

/** @throws Problem `forbidden` when the key is bound to other sites. */
export function requireSite(key: Key, site: string): void {
  if (mayUseSite(key, site)) return;
  throw new Problem('forbidden', `The key “${key.name}” is not for the site ${site}.`, { also: { site } });
}

/**
 * For what the API itself writes: it is sent as `ownSource`, and a key that is bound to senders sends as nobody else.
 * @throws Problem `forbidden`.
 */
export function requireOwnSender(key: Key): void {
  if (maySendAs(key, ownSource)) return;
  const detail = `The key “${key.name}” is bound to senders, and what this address writes is sent as ${ownSource}. Send the event under a sender of the key (POST /v1/events), or use a key that is for ${ownSource} too.`;
  throw new Problem('forbidden', detail, { also: { source: ownSource } });
}

function client(request: Request): string {
  return ipKeyGenerator(request.ip ?? '0.0.0.0');
}

/** The connection comes from this machine and nobody stands behind it: a proxy here would announce whom it serves. */
function onThisMachine(request: Request): boolean {
  const address = request.socket.remoteAddress ?? '';
  const loopback = address === '::1' || /^(::ffff:)?127\./.test(address);
  return loopback && request.headers['x-forwarded-for'] === undefined && request.headers.forwarded === undefined;
}
