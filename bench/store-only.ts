import http from 'node:http';
import type { AddressInfo } from 'node:net';
import { PGlite } from '@electric-sql/pglite';
import { PrismaPg } from '@prisma/adapter-pg';
import express from 'express';
import { PrismaPGlite } from 'pglite-prisma-adapter';
import { z } from 'zod';
import { PrismaClient } from '../src/db/generated/client.js';
import { catalogue, eventTypes } from '../src/events/catalogue.js';

/**
 * What the pipeline is measured against: a handler that validates events with the same schemas and writes them to a
 * plain table of the same columns with `createMany`. No order, no duplicates, no findings.
 */
const table = `create table event (
  organisation text not null, site text not null, at bigint not null, rank smallint not null, source text not null,
  id text not null, type text not null, subject text, data jsonb not null, received_at bigint not null,
  primary key (organisation, site, at, rank, source, id))`;

const envelope = z.object({
  specversion: z.literal('1.0'),
  id: z.string().min(1).max(200),
  source: z.string().min(1).max(200),
  type: z.enum(eventTypes as [keyof typeof catalogue, ...(keyof typeof catalogue)[]]),
  time: z.iso.datetime({ offset: true }),
  site: z.string().min(1).max(64),
  subject: z.string().optional(),
  data: z.record(z.string(), z.unknown()),
});

export interface Place {
  readonly databaseUrl?: string;
  readonly folder?: string;
}

export interface StoreOnly {
  readonly url: string;
  /** `site id instant` of every stored event, in order. */
  stored(): Promise<string[]>;
  close(): Promise<void>;
}

export async function startStoreOnly({ databaseUrl, folder }: Place): Promise<StoreOnly> {
  const pglite = databaseUrl === undefined ? await PGlite.create(folder ?? '') : undefined;
  const adapter = pglite === undefined ? new PrismaPg({ connectionString: databaseUrl }) : new PrismaPGlite(pglite);
  const prisma = new PrismaClient({ adapter });
  await prisma.$executeRawUnsafe(table);
  const app = express();
  app.disable('x-powered-by');
  app.disable('etag');
  app.use(express.json({ limit: '8mb' }));
  app.post('/v1/events', async (request, response) => {
    const body: unknown = request.body;
    const rows = (Array.isArray(body) ? body : [body]).map(rowOf);
    await prisma.event.createMany({ data: rows });
    response.status(202).json({ accepted: rows.length });
  });
  const server = http.createServer(app);
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  return {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    async stored() {
      const rows = await prisma.event.findMany({ select: { site: true, id: true, at: true } });
      return rows.map(({ site, id, at }) => `${site} ${id} ${at}`).sort();
    },
    async close() {
      server.closeAllConnections();
      await new Promise((resolve) => server.close(resolve));
      await prisma.$disconnect();
      await pglite?.close();
    },
  };
}

function rowOf(sent: unknown) {
  const { id, source, type, time, site, subject, data } = envelope.parse(sent);
  return {
    organisation: 'main',
    site,
    at: BigInt(Date.parse(time)),
    rank: catalogue[type].rank,
    source,
    id,
    type,
    subject: subject ?? null,
    data: catalogue[type].schema.parse(data) as object,
    receivedAt: BigInt(Date.now()),
  };
}
