/** Ordinary days at made-up offices, as CloudEvents in the order of their time: what the benchmark sends. */

export interface SentEvent {
  readonly specversion: '1.0';
  readonly id: string;
  readonly source: string;
  readonly type: string;
  readonly time: string;
  readonly site: string;
  readonly datacontenttype: 'application/json';
  readonly data: Readonly<Record<string, unknown>>;
}

const firstDay = Date.UTC(2025, 0, 6);
const day = 86_400_000;
const minute = 60_000;

/** @param west hours that the site lies west of Greenwich; its day is that much later. */
export function configuration(site: string, west = 0): SentEvent {
  return event(site, 0, firstDay + (5 + west) * 60 * minute, 'site.configured', {
    name: site,
    // The sign of these zones is that of POSIX: hours west.
    zone: west % 12 === 0 ? 'UTC' : `Etc/GMT${west > 0 ? '+' : ''}${west % 12}`,
    jurisdictions: ['us', 'us-wa'],
    lines: [{ id: 'M1', method: 'manual', chemistry: 'standard' }],
    tubes: [{ id: 'R1' }, { id: 'R2' }],
    workingDays: [1, 2, 3, 4, 5, 6, 7],
  });
}

/** The first `count` events of a site after its configuration. */
export function ordinaryDays(site: string, count: number): SentEvent[] {
  const events: SentEvent[] = [];
  for (const next of endlessDays(site)) {
    if (events.length === count) break;
    events.push(next);
  }
  return events;
}

/** Day after day, without end. */
export function* endlessDays(site: string, west = 0): Generator<SentEvent> {
  let number = 0;
  for (let date = 0; ; date++) {
    const start = firstDay + date * day + (7 + west) * 60 * minute;
    for (const [after, type, data] of oneDay(date)) {
      number += 1;
      yield event(site, number, start + after * minute, type, data);
    }
  }
}

function* oneDay(date: number): Generator<[minutes: number, type: string, data: Record<string, unknown>]> {
  const degrees = { value: 68 + (date % 5) / 2, unit: '[degF]' };
  if (date % 20 === 0) {
    for (const bath of ['developer', 'fixer'])
      yield [0, 'chemistry.changed', { line: 'M1', bath, kind: 'standard', by: 'op-1' }];
  }
  yield [5, 'day.opened', { line: 'M1', lids: true, levels: true, stirred: true, water: true }];
  for (const bath of ['developer', 'fixer', 'wash'])
    yield [10, 'bath.measured', { line: 'M1', bath, temperature: degrees }];
  yield [
    20,
    'stepwedge.read',
    { line: 'M1', difference: { steps: date % 7 === 3 ? 1 : 0, direction: date % 7 === 3 ? 'lighter' : 'same' } },
  ];
  for (let patient = 0; patient < 6; patient++) {
    const film = `F-${date}-${patient}`;
    const begun = 60 + patient * 40;
    const time = { value: 0.4, unit: 's' };
    yield [begun, 'film.exposed', { film, tube: patient % 2 ? 'R1' : 'R2', view: 'periapical', time, filmSpeed: 'E' }];
    yield [
      begun + 10,
      'film.processed',
      {
        line: 'M1',
        method: 'manual',
        films: [film],
        endpoint: 'timed',
        developer: { time: { value: 5, unit: 'min' }, temperature: degrees },
        rinse: { time: { value: 30, unit: 's' } },
        fixer: { time: { value: 10, unit: 'min' } },
        wash: { time: { value: 20, unit: 'min' } },
      },
    ];
    yield [begun + 30, 'film.reviewed', { film, grade: 'excellent', signs: [] }];
  }
  yield [
    600,
    'chemistry.replenished',
    { line: 'M1', bath: 'developer', volume: { value: 0.2, unit: 'L' }, with: 'replenisher' },
  ];
}

function event(
  site: string,
  number: number,
  at: number,
  type: string,
  data: Readonly<Record<string, unknown>>,
): SentEvent {
  const time = new Date(at).toISOString();
  return {
    specversion: '1.0',
    id: `${site}-${number}`,
    source: 'bench',
    type,
    time,
    site,
    datacontenttype: 'application/json',
    data,
  };
}
