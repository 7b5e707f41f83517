-- Checkpoints: folded states to start a replay from. Close together near the end of a ledger and far apart in its past,
-- bounded in number, so that a late event costs the events since the checkpoint before it and not the age of the site.

CREATE TABLE checkpoint (
  organisation text COLLATE "C" NOT NULL,
  site         text COLLATE "C" NOT NULL,
  -- Order key of the last event folded into the state.
  at           bigint NOT NULL,
  rank         smallint NOT NULL,
  source       text COLLATE "C" NOT NULL,
  id           text COLLATE "C" NOT NULL,
  -- How many events were folded into it: decides which checkpoints are thinned out.
  events       bigint NOT NULL,
  -- Hash of the packs in force up to it.
  packs_hash   text NOT NULL,
  -- The state as JSON text: read and written whole, never looked into.
  state        text NOT NULL,
  PRIMARY KEY (organisation, site, at, rank, source, id)
);

ALTER TABLE checkpoint ENABLE ROW LEVEL SECURITY;
ALTER TABLE checkpoint FORCE ROW LEVEL SECURITY;
CREATE POLICY own_organisation ON checkpoint
  USING (organisation = current_setting('stepwedge.organisation', true))
  WITH CHECK (organisation = current_setting('stepwedge.organisation', true));
GRANT SELECT, INSERT, UPDATE, DELETE ON checkpoint TO stepwedge_app;

-- What was taken back at a site is asked for at every replay.
CREATE INDEX event_retraction ON event (organisation, site) WHERE type = 'event.retracted';

-- A replay from a checkpoint accounts for the findings that were touched since.
CREATE INDEX finding_touched ON finding (organisation, site, touched_at);
