import { DateTime } from 'luxon';
import { board, type Board } from '../../src/engine/board.js';
import { dueList, type DueItem } from '../../src/engine/due.js';
import type { Finding } from '../../src/engine/finding.js';
import { decode } from '../../src/events/decode.js';
import type { AnyEvent } from '../../src/events/event.js';
import { PackBook } from '../../src/packs/book.js';
import { readPack } from '../../src/packs/reader/index.js';
import { foldSite, type Folded } from '../../src/trials/fold-site.js';

/**
 * A tiny office for tests of the fold: packs as YAML (the parts every pack needs are filled in), events by local time.
 */
export class Office {
  readonly events: AnyEvent[] = [];
  readonly book: PackBook;

  constructor(
    packs: string | readonly string[],
    readonly zone = 'America/Chicago',
    site: Record<string, unknown> = {},
    since = '2026-01-05T00:00',
  ) {
    this.book = new PackBook([packs].flat().map((text, index) => pack(text, `test-${index}.yaml`)));
    this.add(since, 'site.configured', {
      name: 'Test office',
      zone,
      jurisdictions: ['us'],
      lines: [
        { id: 'M1', method: 'manual' },
        { id: 'C1', method: 'chairside' },
      ],
      tubes: [{ id: 'R1' }],
      ...site,
    });
  }

  at(local: string): number {
    return DateTime.fromISO(local, { zone: this.zone }).toMillis();
  }

  /** An event, quantities as `{ value, unit }`; returns it for retractions and comparisons. */
  add(local: string, type: string, data: Record<string, unknown>, id = `e-${this.events.length}`): AnyEvent {
    const at = this.at(local);
    const time = new Date(at).toISOString();
    const sent = { specversion: '1.0', type, source: 'office', id, time, site: 'test', data };
    const decoded = decode(sent, { now: at, hashPatient: (token) => token });
    if (!decoded.ok) throw new Error(decoded.faults.map(({ pointer, message }) => `${pointer} ${message}`).join('; '));
    const event = decoded.event as AnyEvent;
    this.events.push(event);
    return event;
  }

  fold(until?: string): Folded {
    return foldSite(this.events, this.book, until === undefined ? undefined : this.at(until));
  }

  /** Findings in order of opening, as of a local time (or after the last event). */
  findings(until?: string): Finding[] {
    return [...this.fold(until).findings.values()].sort((a, b) => a.openedAt - b.openedAt);
  }

  due(at: string): DueItem[] {
    return dueList(this.fold(at).state, this.at(at), this.book);
  }

  board(at: string): Board {
    return board(this.fold(at).state, this.at(at), this.book);
  }
}

/** Packs here are pieces for the engine's tests: `$tests` stands for the tests that every rule must carry. */
const carried =
  'tests: [{ name: a, kind: fires, events: [], expect: [{}] }, { name: b, kind: silent, events: [] }, { name: c, kind: boundary, events: [], expect: [] }]';

function pack(text: string, file: string) {
  const head = 'version: 1.0.0\ntitle: Test\nauthority: Test\ncitation: { text: test, read: text }\n';
  const { pack, diagnostics } = readPack(head + text.replaceAll('$tests', carried), file);
  if (pack === undefined)
    throw new Error(diagnostics.map(({ line, message }) => `${file}:${line} ${message}`).join('\n'));
  return pack;
}

export const degF = (value: number) => ({ value, unit: '[degF]' });
export const minutes = (value: number) => ({ value, unit: 'min' });
