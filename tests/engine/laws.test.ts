import fc from 'fast-check';
import { describe, expect, test } from '@jest/globals';
import { dueAfter } from '../../src/engine/calendar.js';
import { degF, Office } from './office.js';

const severities = ['advice', 'warning', 'standard', 'law'] as const;
const layers = ['federal', 'state', 'county', 'city', 'practice', 'clinic'] as const;

const rule = `pack: test/rule
layer: practice
limits:
  - { id: time-min, of: run.developer.time, min: 1 s, severity: advice }
checks:
  - id: short
    title: Short
    on: [film.processed]
    about: run
    when: { fact: run.developer.time, operator: below, value: { limit: time-min } }
    say: short
    $tests
`;

interface Rung {
  readonly layer: (typeof layers)[number];
  readonly seconds: number;
  readonly severity: (typeof severities)[number];
}
/** Only what binds says law. */
const allowed = ({ layer, seconds, severity }: Rung): Rung =>
  severity === 'law' && ['practice', 'clinic'].includes(layer)
    ? { layer, seconds, severity: 'standard' }
    : { layer, seconds, severity };
const rung: fc.Arbitrary<Rung> = fc
  .record<Rung>({
    layer: fc.constantFrom(...layers),
    seconds: fc.integer({ min: 1, max: 600 }),
    severity: fc.constantFrom(...severities),
  })
  .map(allowed);

function pack({ layer, seconds, severity }: Rung, index: number): string {
  return `pack: test/p${index}\nlayer: ${layer}\nlimits:\n  - { id: time-min, of: run.developer.time, min: ${seconds} s, severity: ${severity} }\n`;
}

function developed(packs: readonly string[], seconds: number) {
  const office = new Office([rule, ...packs]);
  const time = { value: seconds, unit: 's' };
  office.add('2026-03-02T08:00', 'film.processed', { line: 'M1', method: 'manual', count: 1, developer: { time } });
  return office.findings();
}

describe('L7 and L8: limits intersect, severity is the highest that is broken', () => {
  test('found when any layer is broken, never otherwise, with the chain of all', () => {
    fc.assert(
      fc.property(fc.array(rung, { minLength: 1, maxLength: 5 }), fc.integer({ min: 1, max: 600 }), (rungs, value) => {
        const broken = rungs.filter(({ seconds }) => value < seconds);
        const found = developed(rungs.map(pack), value);
        expect(found).toHaveLength(broken.length > 0 ? 1 : 0);
        const highest = Math.max(...broken.map(({ severity }) => severities.indexOf(severity)));
        for (const finding of found) {
          expect(finding.severity).toBe(severities[highest]);
          expect(finding.chain).toHaveLength(rungs.length + 1);
        }
      }),
      { numRuns: 60 },
    );
  });
  test('a clinic limit looser than another of the same severity changes nothing', () => {
    fc.assert(
      fc.property(rung, fc.nat(599), fc.integer({ min: 1, max: 600 }), (binding, looser, value) => {
        const clinic = allowed({ ...binding, layer: 'clinic', seconds: Math.max(1, binding.seconds - looser) });
        const without = developed([pack(binding, 0)], value);
        const beside = developed([pack(binding, 0), pack(clinic, 1)], value);
        expect(beside.map(({ id, severity }) => [id, severity])).toEqual(
          without.map(({ id, severity }) => [id, severity]),
        );
      }),
      { numRuns: 40 },
    );
  });
});

/** Minutes by whole degrees F from 60 to 80, as printed alike in Minn. R. 4732.0555 and WAC 246-225-150(1)(a). */
const minutes = [9.5, 8.5, 8, 7, 6.5, 6, 5.5, 5.5, 5, 4.5, 4.5, 4, 4, 3.5, 3.5, 3, 3, 2.5, 2.5, 2, 2];

test('L9: the colder row applies between two, a value at the limit is within it, in either unit', () => {
  const rows = minutes.map((time, index) => `[${60 + index}, ${time}]`).join(', ');
  const chart = `pack: test/chart
layer: state
jurisdiction: us
charts:
  - { id: c, title: c, answers: time-min, by: run.developer.temperature, gives: run.developer.time, for: {}, units: { by: '[degF]', gives: min }, rows: [${rows}] }
limits:
  - { id: time-min, of: run.developer.time, min: { chart: c }, severity: law }
`;
  fc.assert(
    fc.property(fc.integer({ min: 600, max: 800 }), fc.boolean(), fc.constantFrom(0, -1, 1), (tenths, metric, more) => {
      const fahrenheit = tenths / 10;
      const asked = (minutes[Math.floor(fahrenheit) - 60] ?? NaN) * 60;
      const office = new Office([rule, chart]);
      const temperature = metric ? { value: ((fahrenheit - 32) * 5) / 9, unit: 'Cel' } : degF(fahrenheit);
      const developer = { temperature, time: { value: (asked + more) / 60, unit: 'min' } };
      office.add('2026-03-02T08:00', 'film.processed', { line: 'M1', method: 'manual', count: 1, developer });
      expect(office.findings()).toHaveLength(more < 0 ? 1 : 0);
    }),
    { numRuns: 150 },
  );
});

test('L10: ids do not depend on versions or words of a pack', () => {
  const strip = (version: string, words: string) => `pack: test/strip
layer: practice
checks:
  - id: off
    title: Off
    on: [stepwedge.read]
    about: line
    when: { fact: wedge.steps, operator: greaterThan, value: 2 }
    severity: standard
    say: ${words}
    $tests
`;
  const ids = [strip('1', 'off'), strip('2', 'far off')].map((text) => {
    const office = new Office(text);
    office.add('2026-03-02T08:00', 'stepwedge.read', { line: 'M1', difference: { steps: 3, direction: 'lighter' } });
    return office.findings().map(({ id }) => id);
  });
  expect(ids[0]).toEqual(ids[1]);
});

test('L12 and L17a: each run of failed strips is one finding, ended by the next passed strip and by nothing else', () => {
  const strip = `pack: test/strip
layer: practice
checks:
  - id: off
    title: Off
    on: [stepwedge.read]
    about: line
    when: { fact: wedge.steps, operator: greaterThan, value: 2 }
    hold: line
    severity: standard
    say: '{wedge.steps}'
    $tests
`;
  const deed = fc.constantFrom('pass', 'fail', 'change', 'film', 'resolve');
  fc.assert(
    fc.property(fc.array(deed, { maxLength: 25 }), (deeds) => {
      const office = new Office(strip);
      const spells: { opened: number; closed?: number }[] = [];
      deeds.forEach((what, index) => {
        const local = `2026-03-02T08:${String(index).padStart(2, '0')}`;
        const open = spells.at(-1);
        const isOpen = open !== undefined && open.closed === undefined;
        if (what === 'pass' || what === 'fail') {
          const steps = what === 'pass' ? 2 : 3;
          office.add(local, 'stepwedge.read', { line: 'M1', difference: { steps, direction: 'lighter' } });
          if (what === 'fail' && !isOpen) spells.push({ opened: office.at(local) });
          if (what === 'pass' && isOpen) open.closed = office.at(local);
        } else if (what === 'change')
          office.add(local, 'chemistry.changed', { line: 'M1', bath: 'developer', by: 'op-2' });
        else if (what === 'film') office.add(local, 'film.processed', { line: 'M1', method: 'manual', count: 1 });
        else {
          const instant = new Date(office.at(local)).toISOString();
          const address = { rule: 'test/strip/off', topic: 'line:M1', instant };
          office.add(local, 'finding.resolved', { ...address, rootCause: 'mix', action: 'remixed' });
        }
      });
      const found = office.findings().map(({ openedAt, closedAt }) => ({ opened: openedAt, closed: closedAt }));
      expect(found).toEqual(spells.map(({ opened, closed }) => ({ opened, closed })));
    }),
    { numRuns: 80 },
  );
});

test('L17c: an age in days is in limit through the end of its last day by the clocks of the place', () => {
  const zones = [
    'America/Los_Angeles',
    'America/Denver',
    'Pacific/Auckland',
    'Asia/Kolkata',
    'America/St_Johns',
    'UTC',
  ];
  fc.assert(
    fc.property(
      fc.integer({ min: Date.UTC(2000, 0), max: Date.UTC(2040, 0) }),
      fc.integer({ min: 1, max: 400 }),
      fc.constantFrom(...zones),
      (at, count, zone) => {
        // The platform's own calendar, not the library that the engine uses.
        const format = new Intl.DateTimeFormat('en-CA', { timeZone: zone, dateStyle: 'short' });
        const dayNumber = (instant: number) => Date.parse(`${format.format(instant)}T00:00:00Z`) / 86_400_000;
        // Newfoundland turned its clocks back a minute after midnight until 2011: an hour of the old date came twice.
        fc.pre(dayNumber(at - 3_600_000) <= dayNumber(at));
        const due = dueAfter(at, { count, unit: 'd' }, zone);
        expect(dayNumber(due) - dayNumber(at)).toBe(count + 1);
        expect(dayNumber(due - 1) - dayNumber(at)).toBe(count);
      },
    ),
    { numRuns: 300 },
  );
});
