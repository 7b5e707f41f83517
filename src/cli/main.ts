#!/usr/bin/env node
import { CommanderError } from 'commander';
import { startFault } from '../process.js';
import { program } from './program.js';

// `stepwedge openapi | head`: whoever reads may stop early.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error;
  process.exit(0);
});

try {
  await program.parseAsync();
} catch (error) {
  if (error instanceof CommanderError) {
    process.exitCode = error.exitCode;
  } else {
    process.stderr.write(`${startFault(error)}\n`);
    process.exitCode = 1;
  }
}
