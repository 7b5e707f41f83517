-- Packs that an organisation publishes: each text once, for good. What stands when follows from the effective instants and
-- the order of publication (src/packs/publications.ts).
CREATE TABLE pack_version (
  organisation text COLLATE "C" NOT NULL,
  -- Its place among all publications of the organisation, from 1.
  number       int NOT NULL CHECK (number > 0),
  pack         text COLLATE "C" NOT NULL,
  version      text COLLATE "C" NOT NULL,
  -- SHA-256 of the text.
  hash         text NOT NULL,
  effective    bigint NOT NULL,
  published_at bigint NOT NULL,
  published_by text NOT NULL,
  content      text NOT NULL,
  PRIMARY KEY (organisation, number)
);
-- A finding names the version that judged it, so there is one of each.
CREATE UNIQUE INDEX pack_version_named ON pack_version (organisation, pack, version);

ALTER TABLE pack_version ENABLE ROW LEVEL SECURITY;
ALTER TABLE pack_version FORCE ROW LEVEL SECURITY;
CREATE POLICY own_organisation ON pack_version
  USING (organisation = current_setting('stepwedge.organisation', true))
  WITH CHECK (organisation = current_setting('stepwedge.organisation', true));
-- Appended, never edited: the application has no right to.
GRANT SELECT, INSERT ON pack_version TO stepwedge_app;

-- How many there are. Whoever judges reads it along with the head of a site, and so knows whether their book is the last.
ALTER TABLE organisation ADD COLUMN publications int NOT NULL DEFAULT 0;
