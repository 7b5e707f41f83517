import { describe, expect, test } from '@jest/globals';
import { checkConfig, ConfigError, isLoopback, readConfig } from '../../src/config.js';

function faultOf(env: Record<string, string>): string {
  try {
    readConfig(env);
  } catch (error) {
    if (error instanceof ConfigError) return error.message;
    throw error;
  }
  return '';
}

describe('the environment', () => {
  test('an empty one serves on this machine only, from ./data', () => {
    expect(readConfig({ HOME: '/root', STEPWEDGE_ADMIN_KEY: '' })).toEqual({
      host: '127.0.0.1',
      port: 8080,
      databaseUrl: undefined,
      dataDir: './data',
      poolSize: 10,
      adminKey: undefined,
      rulesDir: undefined,
      bodyLimit: 8 * 1024 * 1024,
      bodyMemory: 64 * 1024 * 1024,
      trials: 'offered',
      stateMemory: 256 * 1024 * 1024,
      waitingEvents: 20_000,
      waitingShare: 10_000,
      requestsAtOnce: 1000,
      connections: 2000,
      databaseWait: 15_000,
      requestsAMinute: 30_000,
      failuresAMinute: 60,
      proxies: 0,
      logLevel: 'info',
    });
  });

  test('every fault is told at once, each by its variable', () => {
    const told = faultOf({
      PORT: '80800',
      LOG_LEVEL: 'loud',
      DATABASE_URL: 'mysql://u:secret@h/d',
      STEPWEDGE_BODY_LIMIT: '1k',
    });
    for (const name of ['PORT', 'LOG_LEVEL', 'DATABASE_URL', 'STEPWEDGE_BODY_LIMIT']) expect(told).toContain(name);
    expect(told.split('\n')).toHaveLength(4);
    expect(told).not.toContain('secret');
  });

  test('a slip in a name is told with the name that was meant; other programs have theirs', () => {
    expect(faultOf({ STEPWEDGE_ADMINKEY: 'x'.repeat(30) })).toContain('did you mean STEPWEDGE_ADMIN_KEY?');
    expect(faultOf({ STEPWEDGE_SOMETHING_ELSE_ENTIRELY: '1' })).toBe('');
  });

  test('a weak key is refused and not repeated', () => {
    expect(faultOf({ STEPWEDGE_ADMIN_KEY: 'hunter2' })).toMatch(/STEPWEDGE_ADMIN_KEY must be 20 to 200/);
    expect(faultOf({ STEPWEDGE_ADMIN_KEY: 'hunter2' })).not.toContain('hunter2');
  });

  test('others may reach the embedded database only with a key that somebody set', () => {
    expect(faultOf({ HOST: '0.0.0.0' })).toContain('STEPWEDGE_ADMIN_KEY');
    const adminKey = 'x'.repeat(20);
    expect(readConfig({ HOST: '0.0.0.0', STEPWEDGE_ADMIN_KEY: adminKey }).host).toBe('0.0.0.0');
    expect(readConfig({ HOST: '0.0.0.0', DATABASE_URL: 'postgresql://h/d' }).host).toBe('0.0.0.0');
    expect(() => checkConfig({ ...readConfig({}), host: '::' })).toThrow(ConfigError);
    expect(['localhost', '127.0.0.1', '127.1.2.3', '::1'].every(isLoopback)).toBe(true);
    expect(['0.0.0.0', '::', '10.0.0.1', '127.0.0.1.example.org'].some(isLoopback)).toBe(false);
  });
});
