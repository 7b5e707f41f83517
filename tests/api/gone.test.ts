import { EventEmitter, once } from 'node:events';
import http from 'node:http';
import type { AddressInfo } from 'node:net';
import { setTimeout as wait } from 'node:timers/promises';
import express from 'express';
import { expect, test } from '@jest/globals';
import { Bodies } from '../../src/api/body.js';
import { Gate } from '../../src/api/gate.js';
import { operation } from '../../src/api/operation.js';
import { operationsRouter } from '../../src/api/router.js';
import type { Services } from '../../src/api/services.js';

/** Work that goes on for long asks whether anybody still waits for it. */
test('an operation learns that its caller has hung up, and not before', async () => {
  const seen: boolean[] = [];
  const [begun, ended] = [new EventEmitter(), new EventEmitter()];
  const [hasBegun, hasEnded] = [once(begun, 'it'), once(ended, 'it')];
  const long = operation({
    ...{ id: 'long', method: 'post', path: '/long', tag: 'Operation', summary: 'Works on', access: 'open' },
    ...{ answers: { 204: { description: 'Done.' } }, problems: [] },
    async handle({ raw }) {
      seen.push(raw.isGone());
      begun.emit('it');
      while (!raw.isGone()) await wait(5);
      seen.push(raw.isGone());
      ended.emit('it');
      return { status: 204 };
    },
  });
  const services = { observe: () => undefined } as unknown as Services;
  const bodies = new Bodies({ limit: 1000, memory: 1000, silence: 1000 });
  const authenticate = () => Promise.resolve(null);
  const app = express().use(operationsRouter([long], { services, authenticate, bodies, gate: new Gate() }));
  const server = http.createServer(app);
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const { port } = server.address() as AddressInfo;
  const request = http.request({ port, host: '127.0.0.1', path: '/long', method: 'POST' });
  request.on('error', () => undefined);
  request.end();
  await hasBegun;
  await wait(20);
  expect(seen).toEqual([false]);
  request.destroy();
  await hasEnded;
  expect(seen).toEqual([false, true]);
  await new Promise((resolve) => server.close(resolve));
});
