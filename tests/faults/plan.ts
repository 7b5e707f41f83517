import { appendChanges } from '../../src/db/sql/append-changes.js';
import { appendEvents } from '../../src/db/sql/append-events.js';
import { writeCheckpoints } from '../../src/db/sql/checkpoints.js';
import { lockHeads, lockHeadUnlessBusy } from '../../src/db/sql/lock-heads.js';
import { appendPublication } from '../../src/db/sql/publications.js';
import { readRetractions } from '../../src/db/sql/read-ledger.js';
import { updateHeads } from '../../src/db/sql/update-heads.js';
import { writeFindings } from '../../src/db/sql/write-findings.js';
import type { Chance } from './chance.js';
import type { Fuse } from './fuse.js';

/** How one process is to die: so long after it began to open its database or to listen, or at a statement. */
export type Death =
  | { readonly by: 'start'; readonly after: number }
  | { readonly by: 'clock'; readonly after: number }
  | { readonly by: 'fuse'; readonly at: string; readonly fuse: Fuse };

/** Statements at which a process may die, by what it is doing then. */
const moments: readonly [readonly [string, string, number], ...(readonly [string, string, number])[]] = [
  ['intake: sites locked', lockHeads, 2],
  ['intake: events appended', appendEvents, 2],
  ['replay: what was taken back is read', readRetractions, 3],
  ['sweep: site locked', lockHeadUnlessBusy, 3],
  ['findings written', writeFindings, 3],
  ['audit rows written', appendChanges, 3],
  ['checkpoint written', writeCheckpoints, 2],
  ['heads written', updateHeads, 4],
  ['pack published', appendPublication, 2],
  ['transaction begins', 'BEGIN; SET LOCAL', 12],
  ['commit', 'COMMIT', 10],
  ['rows of migrations read', 'FROM _prisma_migrations', 1],
];
const migration: readonly [string, string, number] = ['migration applied', 'INSERT INTO _prisma_migrations', 2];

/** @param early whether the database may still have to be made. */
export function death(chance: Chance, early: boolean): Death {
  const dice = chance.next();
  if (early && dice < 0.5) return atStatement(chance, migration);
  // Making the files of an embedded database takes seconds.
  if (early && dice < 0.8) return { by: 'start', after: chance.between(0, 4000) };
  if (dice < 0.2) return { by: 'start', after: chance.between(0, 400) };
  if (dice < 0.4) return { by: 'clock', after: chance.between(0, 600) };
  return atStatement(chance, chance.one(moments));
}

function atStatement(chance: Chance, [what, statement, most]: readonly [string, string, number]): Death {
  const when = chance.one<Fuse['when']>(['before', 'sent', 'answered']);
  const fuse = { statement, nth: 1 + chance.below(most), when, delay: chance.between(0, 4) };
  return { by: 'fuse', at: `${what} (${when})`, fuse };
}
