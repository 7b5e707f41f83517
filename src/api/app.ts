import { randomUUID } from 'node:crypto';
import express, { type Express, type RequestHandler } from 'express';
import { ipKeyGenerator, rateLimit } from 'express-rate-limit';
import helmet from 'helmet';
import { pinoHttp } from 'pino-http';
import { authenticator } from './auth.js';
import { Bodies } from './body.js';
import { docsOperations } from './docs/pages.js';
import { problemHandler, sendProblem } from './errors.js';
import { Gate } from './gate.js';
import { operations } from './operations.js';
import { problemBody } from './problems.js';
import { operationsRouter } from './router.js';
import type { Services } from './services.js';

export interface AppOptions {
  /** Bytes of a body at most. Default 8 MiB. */
  readonly bodyLimit?: number;
  /** Bytes of all bodies in memory at most. Default 64 MiB. */
  readonly bodyMemory?: number;
  /** ms without a byte of a body, and until an answer must have been taken. Default 20 s and 60 s. */
  readonly patience?: { readonly silence: number; readonly answer: number };
  /** Who counts the requests in progress; default: one of its own. */
  readonly gate?: Gate;
  /** Requests a minute and address; 0: no limit. Default 30,000. */
  readonly requestsAMinute?: number;
  /** Requests a minute and address without a valid key, before it has to wait; 0: no limit. Default 60. */
  readonly failuresAMinute?: number;
  /** How many proxies stand in front; their X-Forwarded-For is believed. Default 0. */
  readonly proxies?: number;
  /** Every answer is held against its declared schema; for tests. */
  readonly checkAnswers?: boolean;
}

const mebibyte = 1024 * 1024;
const defaultPatience = { silence: 20_000, answer: 60_000 };

/** The HTTP application. It keeps nothing of its own but the counters of its limits. */
export function createApp(services: Services, options: AppOptions = {}): Express {
  const app = express();
  app.set('trust proxy', options.proxies ?? 0);
  app.set('query parser', false);
  app.disable('x-powered-by');
  app.disable('etag');
  app.use(logRequests(services));
  app.use(securityHeaders());
  const { silence, answer } = options.patience ?? defaultPatience;
  app.use(dropUnread(answer));
  const requestsAMinute = options.requestsAMinute ?? 30_000;
  if (requestsAMinute > 0) app.use(limitRequests(requestsAMinute));
  const bodies = new Bodies({
    limit: options.bodyLimit ?? 8 * mebibyte,
    memory: options.bodyMemory ?? 64 * mebibyte,
    silence,
  });
  app.use(
    operationsRouter([...operations, ...docsOperations], {
      services,
      authenticate: authenticator(services, options.failuresAMinute ?? 60),
      bodies,
      gate: options.gate ?? new Gate(),
      checkAnswers: options.checkAnswers ?? false,
    }),
  );
  app.use(problemHandler(services.logger));
  return app;
}

/** One line a request: who knows what a query string or a header holds, so neither is in it. */
function logRequests({ logger }: Services): RequestHandler {
  return pinoHttp({
    logger,
    quietReqLogger: true,
    genReqId: (_request, response) => {
      const id = randomUUID();
      response.setHeader('X-Request-Id', id);
      return id;
    },
    serializers: {
      req: ({ id, method, url }: { id: string; method: string; url?: string }) => ({
        id,
        method,
        path: (url ?? '').split('?', 1)[0]?.slice(0, 200),
      }),
      res: ({ statusCode }: { statusCode: number }) => ({ statusCode }),
    },
    customLogLevel: (_request, { statusCode }) => (statusCode >= 500 ? 'error' : 'info'),
    customSuccessMessage: () => 'answered',
    customErrorMessage: () => 'answered with an error',
  });
}

/** No script runs on any page of ours, and nothing is loaded from elsewhere. */
function securityHeaders(): RequestHandler {
  return helmet({
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        styleSrc: ["'self'"],
        imgSrc: ["'self'", 'data:'],
        baseUri: ["'none'"],
        formAction: ["'none'"],
        frameAncestors: ["'none'"],
      },
    },
    // Whether there is TLS in front is not known here; whoever puts it there decides.
    strictTransportSecurity: false,
  });
}

/** A caller who does not take the answer would keep it in memory for as long as it likes. */
function dropUnread(patience: number): RequestHandler {
  return (_request, response, next) => {
    response.once('prefinish', () => {
      const timer = setTimeout(() => response.destroy(), patience).unref();
      response.once('close', () => clearTimeout(timer));
    });
    next();
  };
}

function limitRequests(limit: number): RequestHandler {
  return rateLimit({
    windowMs: 60_000,
    limit,
    standardHeaders: 'draft-7',
    legacyHeaders: false,
    keyGenerator: (request) => ipKeyGenerator(request.ip ?? '0.0.0.0'),
    validate: { xForwardedForHeader: false },
    handler: (_request, response) => {
      sendProblem(response, problemBody('rate-limited', `The cap is ${limit} requests a minute.`));
    },
  });
}
