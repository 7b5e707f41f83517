import { describe, expect, test } from '@jest/globals';
import { Office } from './office.js';

/** What happens to a site's duties and findings when the site itself changes: its law, its zone, its lines. */

const law = (state: string, period: string) => `pack: us/${state}/age
layer: state
jurisdiction: us-${state}
limits:
  - { id: chemistry-age, of: chemistry.age, max: ${period}, severity: law }
`;
const practice = `pack: test/age
layer: practice
limits:
  - { id: chemistry-age, of: chemistry.age, max: 60 d, severity: warning }
duties:
  - id: change
    title: Change {line} chemistry
    must: { event: chemistry.changed }
    per: bath
    for: { method: manual }
    every: { limit: chemistry-age }
    counts: always
    say: '{line} chemistry: limit {limit.chemistry-age}'
    $tests
`;
// 33 days after Wed 7 Jan are Mon 9 Feb, 60 are Sun 8 Mar, 90 are Tue 7 Apr: what falls due then opens on a working day.
const packs = [law('wa', '33 d'), law('nm', '90 d'), practice];
const tank = { id: 'M1', method: 'manual' };
const site = (over: Record<string, unknown>) => ({
  name: 'Test office',
  zone: 'America/Los_Angeles',
  jurisdictions: ['us', 'us-wa'],
  lines: [tank],
  tubes: [{ id: 'R1' }],
  ...over,
});

function office(over: Record<string, unknown> = {}) {
  const made = new Office(packs, 'America/Los_Angeles', site(over));
  for (const bath of ['developer', 'fixer'])
    made.add('2026-01-07T08:00', 'chemistry.changed', { line: 'M1', bath, by: 'op-2' });
  return made;
}

describe('another jurisdiction', () => {
  test('L7: a stricter one brings the due instant forward', () => {
    const here = office({ jurisdictions: ['us', 'us-nm'] });
    here.add('2026-01-20T12:00', 'site.configured', site({}));
    expect(here.findings('2026-02-09T23:59')).toEqual([]);
    expect(here.findings('2026-02-10T00:00')).toMatchObject([
      { severity: 'law', openedAt: here.at('2026-02-10T00:00'), citation: { text: 'test' } },
    ]);
  });

  test('L11: what was outside only the law that has gone lapses, and is due again by what is left', () => {
    const here = office();
    expect(here.findings('2026-02-10T00:00')).toMatchObject([{ severity: 'law', state: 'open' }]);
    here.add('2026-02-11T12:00', 'site.configured', site({ jurisdictions: ['us', 'us-nm'] }));
    expect(here.findings('2026-03-08T23:59')).toMatchObject([
      { state: 'lapsed', closedAt: here.at('2026-02-11T12:00'), closedBy: { reason: expect.any(String) } },
    ]);
    expect(here.findings('2026-03-09T00:00')).toMatchObject([
      { state: 'lapsed' },
      { state: 'open', severity: 'warning' },
    ]);
  });

  test('L8: what another layer also forbids stays open at the severity of that layer, and may rise again', () => {
    const here = office();
    here.add('2026-03-10T12:00', 'site.configured', site({ jurisdictions: ['us', 'us-nm'] }));
    const [finding, ...others] = here.findings('2026-03-10T12:00');
    expect(others).toEqual([]);
    expect(finding).toMatchObject({ severity: 'warning', state: 'open' });
    expect(finding?.message).toBe('M1 chemistry: limit 60 days, through Sun 8 Mar 2026');
    expect(finding?.chain.map(({ pack, verdict }) => `${pack} ${verdict}`)).toEqual([
      'test/age broken',
      'us/nm/age met',
    ]);
    expect(here.findings('2026-04-08T00:00')).toMatchObject([{ id: finding?.id, severity: 'law', state: 'open' }]);
  });

  test('one that the site joins is owed from then on, not from before', () => {
    const check = `pack: us/mn/aprons
layer: state
jurisdiction: us-mn
duties:
  - id: apron
    title: Look at the aprons
    must: { event: obligation.done, with: { obligation: apron } }
    per: site
    every: 12 mo
    counts: always
    severity: law
    say: 'Aprons not looked at'
    $tests
`;
    const here = new Office([check], 'America/Chicago', site({ jurisdictions: ['us'] }), '2024-01-05T00:00');
    here.add('2026-03-10T12:00', 'site.configured', site({ zone: 'America/Chicago', jurisdictions: ['us-mn'] }));
    expect(here.findings('2027-03-10T23:59')).toEqual([]);
    expect(here.findings('2027-03-11T00:00')).toMatchObject([{ severity: 'law', dueAt: here.at('2027-03-11T00:00') }]);
  });

  test.each([
    ['passing', 'warning'],
    ['never', 'law'],
  ])(
    'a check that clears %s: what lasts comes down with the limit, what was done stays as it was judged',
    (clears, severity) => {
      const limit = (pack: string, head: string, severity: string, min: string) => `pack: ${pack}
${head}
limits:
  - { id: fixing, of: run.fixer.time, min: ${min}, severity: ${severity} }
`;
      const checks = `pack: test/checks
layer: practice
checks:
  - id: fixed
    title: Fixed short
    on: [film.processed]
    about: ${clears === 'never' ? 'run' : 'line'}
    when: { fact: run.fixer.time, operator: outside, value: { limit: fixing } }
    clears: ${clears}
    say: 'Fixed {run.fixer.time}'
    $tests
`;
      const here = new Office(
        [
          limit('us/wa/fix', 'layer: state\njurisdiction: us-wa', 'law', '8 min'),
          limit('test/fix', 'layer: practice', 'warning', '10 min'),
          checks,
        ],
        'America/Los_Angeles',
        site({}),
      );
      const run = (time: number) => ({
        line: 'M1',
        method: 'manual',
        count: 1,
        fixer: { time: { value: time, unit: 'min' } },
      });
      here.add('2026-01-06T09:00', 'film.processed', run(5));
      expect(here.findings()).toMatchObject([{ severity: 'law' }]);
      here.add('2026-01-06T12:00', 'site.configured', site({ jurisdictions: ['us'] }));
      expect(here.findings()).toMatchObject([{ severity, state: 'open' }]);
      expect(here.findings()[0]?.chain.map(({ pack }) => pack)).toContain('test/fix');
      expect(here.findings()[0]?.chain.some(({ pack }) => pack === 'us/wa/fix')).toBe(clears === 'never');
    },
  );
});

describe('another zone', () => {
  test('L17c: due instants follow the midnights of the zone in force', () => {
    const here = office({ jurisdictions: ['us'] });
    here.add('2026-02-01T12:00', 'site.configured', site({ zone: 'America/New_York', jurisdictions: ['us'] }));
    // The 60th day is 8 March; New York's midnight comes three hours before that of Los Angeles.
    expect(here.findings('2026-03-08T20:59')).toEqual([]);
    expect(here.findings('2026-03-08T21:00')).toMatchObject([
      { severity: 'warning', openedAt: here.at('2026-03-08T21:00') },
    ]);
  });

  test('what else the same configuration says is in force at once', () => {
    const here = office({ jurisdictions: ['us'] });
    const second = { id: 'M2', method: 'manual' };
    const moved = site({ zone: 'America/New_York', jurisdictions: ['us'], lines: [tank, second] });
    here.add('2026-02-02T08:00', 'site.configured', moved);
    here.add('2026-02-02T09:00', 'film.processed', { line: 'M2', method: 'manual', count: 3 });
    const { state } = here.fold();
    expect(state.site?.zone).toBe('America/Los_Angeles');
    expect(state.lines['M2']?.day.films).toBe(3);
    expect(here.fold('2026-02-03T00:00').state.site?.zone).toBe('America/New_York');
  });

  test('dates stay the dates they were written as', () => {
    const here = office({ jurisdictions: ['us'] });
    here.add('2026-01-06T08:00', 'filmstock.received', { lot: 'L1', expires: '2026-05' });
    here.add('2026-01-06T09:00', 'site.closed', { from: '2026-03-02', to: '2026-03-04' });
    here.add('2026-02-01T12:00', 'site.configured', site({ zone: 'America/New_York', jurisdictions: ['us'] }));
    const { state } = here.fold('2026-02-03T00:00');
    expect(new Date(state.lots['L1']?.expiresAt ?? 0).toISOString()).toBe('2026-06-01T04:00:00.000Z');
    expect(new Date(state.closures[0]?.to ?? 0).toISOString()).toBe('2026-03-05T05:00:00.000Z');
  });
});

describe('a line that ended', () => {
  test('returns with empty baths and owes from its return on', () => {
    const here = office({ jurisdictions: ['us'] });
    here.add('2026-01-20T12:00', 'site.configured', site({ jurisdictions: ['us'], lines: [] }));
    here.add('2026-06-20T12:00', 'site.configured', site({ jurisdictions: ['us'] }));
    expect(here.findings('2026-08-19T23:59')).toEqual([]);
    expect(here.fold('2026-06-21T00:00').state.lines['M1']?.baths['developer']?.fill).toBeNull();
    expect(here.findings('2026-08-20T00:00')).toMatchObject([{ openedAt: here.at('2026-08-20T00:00'), anchor: null }]);
  });
});

describe('what a change of the site must not lose, nor keep for ever', () => {
  const followUp = `pack: test/follow
layer: practice
duties:
  - id: refix
    title: Fix for keeping
    must: { event: film.refixed }
    per: line
    after: { event: film.processed, with: { method: chairside } }
    within: 24 h
    eachFilm: true
    counts: always
    severity: warning
    say: '{count} films'
    $tests
`;
  const box = { lines: [{ id: 'C1', method: 'chairside' }, tank] };
  const three = { line: 'C1', method: 'chairside', count: 3 };
  const refixed = {
    line: 'C1',
    count: 1,
    fixer: { time: { value: 10, unit: 'min' } },
    wash: { time: { value: 20, unit: 'min' } },
  };

  test('L13: of three films due on a Saturday, one fixed on Monday morning leaves two that are owed', () => {
    const here = new Office(followUp, 'America/Los_Angeles', site(box));
    here.add('2026-01-09T12:00', 'film.processed', three);
    here.add('2026-01-12T09:00', 'film.refixed', refixed);
    expect(here.findings('2026-01-12T09:00')).toMatchObject([{ state: 'open', message: '2 films' }]);
  });

  test('L13: a site renamed on a Sunday still owes on Monday what fell due on Saturday', () => {
    const here = new Office(followUp, 'America/Los_Angeles', site(box));
    here.add('2026-01-09T12:00', 'film.processed', three);
    here.add('2026-01-11T12:00', 'site.configured', site({ ...box, name: 'Another name' }));
    expect(here.findings('2026-01-12T23:59')).toEqual([]);
    expect(here.findings('2026-01-13T00:00')).toMatchObject([{ state: 'open', message: '3 films' }]);
  });

  test('L13: an office that had no working days owes when it gets some', () => {
    const here = office({ jurisdictions: ['us'], workingDays: [] });
    here.add('2026-03-20T12:00', 'site.configured', site({ jurisdictions: ['us'] }));
    expect(here.findings('2026-03-21T00:00')).toMatchObject([{ state: 'open', severity: 'warning' }]);
  });

  test('L11: what a line of another method does not owe lapses', () => {
    const here = office();
    expect(here.findings('2026-02-11T00:00')).toMatchObject([{ state: 'open' }]);
    here.add('2026-02-11T12:00', 'site.configured', site({ lines: [{ id: 'M1', method: 'automatic' }] }));
    expect(here.findings()).toMatchObject([{ state: 'lapsed' }]);
  });

  test('L17a: a hold is not ended by taking the line away and back; of a line that is gone a person ends it', () => {
    const hold = `pack: test/hold
layer: practice
checks:
  - id: strip
    title: Strip off
    on: [stepwedge.read]
    about: line
    when: { fact: wedge.steps, operator: greaterThan, value: 2 }
    clears: passing
    hold: line
    severity: standard
    say: Hold
    $tests
`;
    const here = new Office(hold, 'America/Los_Angeles', site({}));
    here.add('2026-01-06T09:00', 'stepwedge.read', { line: 'M1', difference: { steps: 3, direction: 'lighter' } });
    here.add('2026-01-06T10:00', 'site.configured', site({ lines: [] }));
    here.add('2026-01-06T10:05', 'site.configured', site({}));
    expect(here.board('2026-01-06T11:00').lines).toMatchObject([{ id: 'M1', state: 'hold' }]);
    const [finding] = here.findings();
    here.add('2026-01-06T12:00', 'site.configured', site({ lines: [] }));
    const said = { finding: finding?.id, rootCause: 'tank sold', action: 'line taken down' };
    here.add('2026-01-06T12:10', 'finding.resolved', said);
    expect(here.findings()).toMatchObject([{ state: 'resolved' }]);
  });

  test('L10: an omission that a person closes every day is another finding every day, however long', () => {
    const strip = `pack: test/strip
layer: practice
duties:
  - id: first
    title: Strip first
    must: { event: stepwedge.read }
    per: line
    before: { event: film.processed }
    severity: warning
    say: No strip
    $tests
`;
    const here = new Office(strip, 'America/Los_Angeles', site({}));
    const day = (n: number) => new Date(Date.UTC(2026, 0, 6 + n)).toISOString().slice(0, 10);
    for (let n = 0; n < 130; n++) {
      here.add(`${day(n)}T09:00`, 'film.processed', { line: 'M1', method: 'manual', count: 1 });
      const address = {
        rule: 'test/strip/first',
        topic: 'line:M1',
        instant: new Date(here.at(`${day(n)}T09:00`)).toISOString(),
      };
      here.add(`${day(n)}T18:00`, 'finding.resolved', { ...address, rootCause: 'no wedge', action: 'ordered' });
    }
    const found = here.findings();
    expect(found).toHaveLength(130);
    expect(new Set(found.map(({ state }) => state))).toEqual(new Set(['resolved']));
  });

  test('L10: closed for both baths and found again for the one that is left, it is another finding', () => {
    const here = new Office(packs, 'America/Los_Angeles', site({ jurisdictions: ['us', 'us-wa'] }), '2026-01-07T08:00');
    here.add('2026-02-11T12:00', 'site.configured', site({ jurisdictions: ['us'] }));
    here.add('2026-02-12T12:00', 'chemistry.changed', { line: 'M1', bath: 'developer', by: 'op-2' });
    const found = here.findings('2026-03-09T00:00');
    expect(found).toMatchObject([
      { state: 'lapsed', openedAt: here.at('2026-02-10T00:00') },
      { state: 'open', openedAt: here.at('2026-03-09T00:00') },
    ]);
  });
});
