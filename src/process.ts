import path from 'node:path';
import { pino } from 'pino';
import { ConfigError, readConfig, type Config } from './config.js';
import { DatabaseStartError } from './db/errors.js';
import { version } from './installation.js';
import { RulesError } from './rules.js';
import { startServer, type RunningServer } from './server.js';

/** Serves until told to stop. What goes wrong at the start is one sentence on stderr and exit code 1. */
export async function serve(env: NodeJS.ProcessEnv = process.env): Promise<void> {
  let config: Config;
  let server: RunningServer;
  try {
    config = readConfig(env);
    const logger = pino({ level: config.logLevel }, pino.destination(2));
    server = await startServer({ config, logger, processMetrics: true });
    stopOnSignal(server, logger);
  } catch (error) {
    process.stderr.write(`${startFault(error)}\n`);
    process.exit(1);
  }
  process.stdout.write(`${greeting(config, server)}\n`);
}

function greeting(config: Config, { url, adminKey, keyIsNew, database }: RunningServer): string {
  const data = database.kind === 'postgresql' ? 'PostgreSQL' : `${path.resolve(config.dataDir)} (embedded database)`;
  return [
    `Stepwedge ${version} listens on ${url}`,
    `  documentation  ${url}/docs`,
    `  data           ${data}`,
    ...(keyIsNew
      ? ['', `The first key, with all rights. It is shown this once; only its hash is kept:`, '', `  ${adminKey}`, '']
      : []),
  ].join('\n');
}

/** A sentence for whoever started the process; only what nobody foresaw comes with its stack. */
export function startFault(error: unknown): string {
  if (error instanceof ConfigError || error instanceof DatabaseStartError || error instanceof RulesError)
    return error.message;
  const { code, address, port } = error as { code?: string; address?: string; port?: number };
  if (code === 'EADDRINUSE')
    return `Something listens on ${address ?? ''}:${port ?? ''} already. Set PORT to another port, or stop it.`;
  if (code === 'EACCES' && port !== undefined)
    return `This user may not listen on port ${port}. Set PORT to one above 1023.`;
  if (code === 'EADDRNOTAVAIL' || code === 'ENOTFOUND')
    return `HOST is no address of this machine: ${address ?? (error as Error).message}.`;
  return error instanceof Error ? (error.stack ?? error.message) : String(error);
}

/** How long stopping may take in all, ms; less than the half minute that supervisors usually grant. */
const longestStop = 25_000;

/** The first signal lets running requests finish; the second ends the process at once. */
function stopOnSignal(server: RunningServer, logger: pino.Logger): void {
  let stopping = false;
  const stop = (reason: string, exitCode: number): void => {
    if (stopping) process.exit(1);
    stopping = true;
    logger.info({ reason }, 'stopping');
    setTimeout(() => {
      logger.error({ reason }, 'stopping took too long; what was not committed by now is given up');
      process.exit(1);
    }, longestStop).unref();
    server.close().then(
      () => process.exit(exitCode),
      (error: unknown) => {
        logger.error({ err: error }, 'stopping failed');
        process.exit(1);
      },
    );
  };
  process.on('SIGTERM', () => stop('SIGTERM', 0));
  process.on('SIGINT', () => stop('SIGINT', 0));
  // Nothing is known of the state any more: what is committed is safe, the rest is given up.
  for (const event of ['uncaughtException', 'unhandledRejection'] as const) {
    process.on(event, (error: unknown) => {
      logger.fatal({ err: error }, 'an error that nobody caught');
      stop(event, 1);
    });
  }
}
