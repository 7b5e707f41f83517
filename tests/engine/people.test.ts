import { describe, expect, test } from '@jest/globals';
import { caps } from '../../src/engine/state.js';
import { Office } from './office.js';

const packs = `pack: test/people
layer: practice
checks:
  - id: sight
    title: By sight
    on: [film.processed]
    about: run
    when: { fact: run.endpoint, operator: equal, value: sight }
    join: day
    severity: warning
    say: '{count}'
    $tests
  - id: nameless
    title: Nameless
    on: [chemistry.changed]
    about: fill
    when: { fact: change.byKnown, operator: equal, value: false }
    severity: advice
    say: who
    $tests
  - id: strip
    title: Strip off
    on: [stepwedge.read]
    about: line
    when: { fact: wedge.steps, operator: greaterThan, value: 2 }
    hold: line
    severity: standard
    say: '{wedge.steps}'
    $tests
`;
const bySight = (line = 'M1') => ({ line, method: 'manual', count: 2, endpoint: 'sight' });
const words = { rootCause: 'clock broken', action: 'new clock', by: 'op-3' };

/** As the API writes it: addressed to the finding, and to what it stands for. */
function resolve(office: Office, local: string, rule = 'test/people/sight') {
  const finding = office.findings(local).find((one) => one.rule === rule);
  if (finding === undefined) throw new Error('nothing to resolve');
  const { id, topic, openedAt } = finding;
  const instant = new Date(openedAt).toISOString();
  office.add(local, 'finding.resolved', { finding: id, rule, topic, instant, ...words });
  return finding;
}

describe('L10: what people did stays with the finding that covers its instant', () => {
  test('an earlier run of the same day arrives late: another anchor and id, the same resolution', () => {
    const office = new Office(packs);
    office.add('2026-03-02T10:00', 'film.processed', bySight());
    const before = resolve(office, '2026-03-02T12:00');
    expect(office.findings()).toMatchObject([{ id: before.id, state: 'resolved' }]);
    office.add('2026-03-02T08:00', 'film.processed', bySight(), 'late');
    const [after, ...others] = office.findings();
    expect(others).toEqual([]);
    expect(after?.id).not.toBe(before.id);
    expect(after).toMatchObject({ state: 'resolved', ...{ rootCause: 'clock broken', action: 'new clock' } });
    expect(office.board('2026-03-02T13:00').orphans).toEqual([]);
  });

  test('of two lines it is the one whose run was named', () => {
    const office = new Office(packs, undefined, {
      lines: [
        { id: 'M1', method: 'manual' },
        { id: 'M2', method: 'manual' },
      ],
    });
    office.add('2026-03-02T10:00', 'film.processed', bySight('M2'));
    resolve(office, '2026-03-02T12:00');
    office.add('2026-03-02T08:00', 'film.processed', bySight('M1'), 'late-1');
    office.add('2026-03-02T09:00', 'film.processed', bySight('M2'), 'late-2');
    expect(office.findings()).toMatchObject([
      { line: 'M1', state: 'open' },
      { line: 'M2', state: 'resolved' },
    ]);
  });

  test('the run is corrected: taken back and told anew under another id', () => {
    const office = new Office(packs);
    const wrong = office.add('2026-03-02T10:00', 'film.processed', bySight());
    resolve(office, '2026-03-02T12:00');
    office.add('2026-03-02T13:00', 'event.retracted', { source: wrong.source, id: wrong.id, reason: 'miscounted' });
    office.add('2026-03-02T10:00', 'film.processed', { ...bySight(), count: 3 }, 'corrected');
    expect(office.findings()).toMatchObject([{ films: 3, state: 'resolved' }]);
  });

  test('so is a change of chemistry: the fill has another name, the bath has not', () => {
    const office = new Office(packs);
    const wrong = office.add('2026-03-02T10:00', 'chemistry.changed', { line: 'M1', bath: 'developer' });
    office.add('2026-03-02T10:00', 'chemistry.changed', { line: 'M1', bath: 'fixer' }, 'z-fixer');
    resolve(office, '2026-03-02T12:00', 'test/people/nameless');
    office.add('2026-03-02T13:00', 'event.retracted', { source: wrong.source, id: wrong.id, reason: 'wrong dilution' });
    office.add(
      '2026-03-02T10:00',
      'chemistry.changed',
      { line: 'M1', bath: 'developer', dilution: '1+4' },
      'corrected',
    );
    const states = office.findings().map(({ topic, state }) => `${topic.split('/')[1]} ${state}`);
    expect(states.sort()).toEqual(['developer resolved', 'fixer open']);
  });

  test('the work of another day or of a gone finding is no other finding’s: it is listed, with its address', () => {
    const office = new Office(packs);
    const run = office.add('2026-03-02T10:00', 'film.processed', bySight());
    const before = resolve(office, '2026-03-02T12:00');
    office.add('2026-03-02T13:00', 'event.retracted', { source: run.source, id: run.id, reason: 'never happened' });
    office.add('2026-03-03T10:00', 'film.processed', bySight(), 'next-day');
    expect(office.findings()).toMatchObject([{ state: 'open' }]);
    expect(office.board('2026-03-04T08:00').orphans).toEqual([
      {
        ref: { at: office.at('2026-03-02T12:00'), source: 'office', id: expect.any(String), type: 'finding.resolved' },
        finding: before.id,
        rule: 'test/people/sight',
        topic: before.topic,
        instant: office.at('2026-03-02T10:00'),
      },
    ]);
  });

  test('where two could be meant, neither is', () => {
    const office = new Office(packs, undefined, {
      lines: [
        { id: 'M1', method: 'manual' },
        { id: 'M2', method: 'manual' },
      ],
    });
    for (const line of ['M1', 'M2']) {
      office.add('2026-03-02T10:00', 'film.processed', bySight(line));
      office.add('2026-03-02T11:00', 'film.processed', bySight(line));
    }
    const instant = new Date(office.at('2026-03-02T10:30')).toISOString();
    const address = { rule: 'test/people/sight', topic: 'run:office/unheard-of', instant };
    office.add('2026-03-02T12:00', 'finding.resolved', { ...address, ...words });
    expect(office.findings()).toMatchObject([{ state: 'open' }, { state: 'open' }]);
    expect(office.board('2026-03-02T13:00').orphans).toHaveLength(1);
  });

  test('a line’s finding is never taken for that of another line', () => {
    const office = new Office(packs);
    office.add('2026-03-02T10:00', 'stepwedge.read', { line: 'M1', difference: { steps: 3, direction: 'lighter' } });
    const instant = new Date(office.at('2026-03-02T11:00')).toISOString();
    const address = { rule: 'test/people/strip', topic: 'line:C1', instant };
    office.add('2026-03-02T12:00', 'cause.confirmed', { ...address, rootCause: 'dev_cold' });
    expect(office.findings()[0]).not.toHaveProperty('rootCause');
    expect(office.board('2026-03-02T13:00').orphans).toMatchObject([{ topic: 'line:C1' }]);
  });

  test('the list of what found nothing is bounded, and what falls out is counted', () => {
    const office = new Office(packs);
    for (let index = 0; index < caps.orphans + 5; index++)
      office.add('2026-03-02T10:00', 'finding.acknowledged', { finding: `gone-${index}` });
    const { state } = office.fold();
    expect(state.orphans).toHaveLength(caps.orphans);
    expect(state.dropped).toEqual({ orphans: 5 });
    expect(JSON.parse(JSON.stringify(state))).toEqual(state);
  });
});
