import * as z from 'zod';
import { operation } from '../operation.js';
import { Problem } from '../problems.js';
import { version } from '../../installation.js';
import { entrance, live, ready } from '../schemas/health.js';

/** Whoever opens the bare address of a server is shown where to go. */
export const getEntrance = operation({
  id: 'getEntrance',
  method: 'get',
  path: '/',
  tag: 'Operation',
  summary: 'Where things are',
  access: 'open',
  answers: { 200: { description: 'Addresses.', content: { 'application/json': { schema: entrance } } } },
  problems: [],
  handle: () =>
    Promise.resolve({
      status: 200,
      body: {
        ...{ name: 'stepwedge', version, docs: '/docs', contract: '/openapi.yaml', ready: '/health/ready' },
        ...{ events: '/v1/events', findings: '/v1/findings', sites: '/v1/sites' },
      },
    }),
});

export const healthLive = operation({
  id: 'healthLive',
  method: 'get',
  path: '/health/live',
  tag: 'Operation',
  summary: 'The process runs',
  access: 'open',
  answers: { 200: { description: 'It does.', content: { 'application/json': { schema: live } } } },
  problems: [],
  handle: () => Promise.resolve({ status: 200, body: { status: 'live' } }),
});

export const healthReady = operation({
  id: 'healthReady',
  method: 'get',
  path: '/health/ready',
  tag: 'Operation',
  summary: 'The server can take events',
  access: 'open',
  answers: { 200: { description: 'It can.', content: { 'application/json': { schema: ready } } } },
  problems: ['unavailable'],
  async handle({ services }) {
    const health = await services.health().catch((error: unknown) => {
      services.logger.error({ err: error }, 'the health of the database could not be read');
      throw new Problem('unavailable', 'The database does not answer.', { headers: { 'Retry-After': '5' } });
    });
    const status = health.unjudgedSites === 0 ? 'ready' : 'degraded';
    return { status: 200, body: { status, ...health } };
  },
});

export const getMetrics = operation({
  id: 'getMetrics',
  method: 'get',
  path: '/metrics',
  tag: 'Operation',
  summary: 'Counters for Prometheus',
  description: 'With an `admin` key, or from the machine itself.',
  access: 'operator',
  answers: {
    200: { description: 'The text format of Prometheus.', content: { 'text/plain': { schema: z.string() } } },
  },
  problems: [],
  async handle({ services }) {
    return { status: 200, type: services.metrics.contentType, body: await services.metrics.metrics() };
  },
});
