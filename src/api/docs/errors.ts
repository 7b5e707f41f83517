import { faultCodes } from '../../events/faults.js';
import { problemCatalogue, problemCodes } from '../problems.js';
import { html, prose } from './html.js';
import { page } from './page.js';

/** The page that the `type` of every problem points at. */
export function errorsPage(): string {
  const problems = problemCodes.map((code) => {
    const { status, title, help } = problemCatalogue[code];
    return html`<h3 id="${code}"><code>${code}</code> <span class="soft">${status}</span></h3>
      <p><strong>${title}.</strong></p>
      ${prose(help)}`;
  });
  const faults = Object.entries({ ...faultCodes, ...ledgerFaults }).map(
    ([code, meaning]) =>
      html`<tr>
        <td><code>${code}</code></td>
        <td>${meaning}</td>
      </tr>`,
  );
  return page(
    'Errors',
    html`<p>
        Every error is <code>application/problem+json</code> (RFC 9457). A program should look at <code>code</code>;
        <code>errors</code> lists each fault with a JSON pointer to the field, what is allowed there and the nearest
        known name. Back to the <a href="/docs">reference</a>.
      </p>
      ${problems}
      <h2 id="faults">Codes inside <code>errors</code></h2>
      <table>
        ${faults}
      </table>`,
  );
}

/** What only the ledger or a key can find wrong with an event. */
export const ledgerFaults = {
  'unknown-site': 'No site of that name is configured',
  'unknown-line': 'The site has no such line',
  'unknown-tube': 'The site has no such unit',
  'unknown-obligation': 'No pack has such an obligation',
  'unknown-jurisdiction': 'A place that can only be a slip of the pen',
  'repeated-field': 'A field that the same object has twice',
  'id-conflict': 'The same source and id came before with other content',
  forbidden: 'The key may not send this',
  'not-stored': 'Could not be stored just now; send it again',
  'not-storable': 'The database refused this event',
} as const;
