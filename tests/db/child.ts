/** A process that opens a data folder, commits one organisation, says so, and waits to be killed. */
import { openEmbedded } from '../../src/db/embedded/embedded.js';
import { insertOrganisation } from './rows.js';

const [folder = '', organisation = ''] = process.argv.slice(2);
const database = await openEmbedded(folder);
await database.withOrganisation(organisation, (tx) => insertOrganisation(tx, organisation));
console.log('committed');
setInterval(() => undefined, 60_000);
