/**
 * Which code folds. Stored with every folded state and every site's findings: those of another version are not gone on
 * from, the site is folded again from its ledger. Raise it by one with every change after which the same events and packs
 * may give another state or other findings: another shape of `SiteState` or `Finding`, another rule of the fold, another
 * order of a record's keys. Not for what only makes it faster.
 */
export const engineVersion = 9;
