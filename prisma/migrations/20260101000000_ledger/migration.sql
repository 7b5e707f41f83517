-- The ledger, the heads of the sites, the findings and their audit trails.
--
-- Every key begins with the organisation, and row-level security is enabled and forced on every table: a statement sees
-- and writes the rows of the organisation that its transaction was opened for (`stepwedge.organisation`), and none at
-- all when there is no such setting. Instants are bigint milliseconds since 1970-01-01T00:00:00Z. Ids are compared
-- bytewise (COLLATE "C"), as the order of the fold is.

-- Roles belong to the whole cluster, so several databases may be doing this at the same time.
DO $$
DECLARE
  -- Up to PostgreSQL 15 every member may become the role; since 16 that is a right of its own.
  may_become text := CASE WHEN current_setting('server_version_num')::int >= 160000 THEN 'SET' ELSE 'MEMBER' END;
BEGIN
  IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'stepwedge_app') THEN
    BEGIN
      CREATE ROLE stepwedge_app NOLOGIN;
    EXCEPTION WHEN duplicate_object OR unique_violation THEN
      NULL;
    END;
  END IF;
  IF EXISTS (SELECT FROM pg_roles WHERE rolname = 'stepwedge_app' AND (rolsuper OR rolbypassrls)) THEN
    RAISE EXCEPTION 'The role stepwedge_app must be neither superuser nor BYPASSRLS: row-level security would not hold.';
  END IF;
  IF NOT pg_has_role(CURRENT_USER, 'stepwedge_app', may_become) THEN
    FOR attempt IN 1..5 LOOP
      BEGIN
        GRANT stepwedge_app TO CURRENT_USER;
        EXIT;
      EXCEPTION WHEN unique_violation OR internal_error THEN
        -- Somebody granted it in the same moment ("tuple concurrently updated"): look again.
        EXIT WHEN pg_has_role(CURRENT_USER, 'stepwedge_app', may_become);
        PERFORM pg_sleep(0.05 * attempt);
      END;
    END LOOP;
  END IF;
  IF NOT has_schema_privilege('stepwedge_app', current_schema(), 'USAGE') THEN
    EXECUTE format('GRANT USAGE ON SCHEMA %I TO stepwedge_app', current_schema());
  END IF;
END
$$;

CREATE TABLE organisation (
  organisation text COLLATE "C" NOT NULL CHECK (organisation <> ''),
  name         text NOT NULL,
  -- Secret of the keyed hash that stands for a patient; made once, never changed, never shown.
  patient_key  text NOT NULL,
  created_at   bigint NOT NULL,
  PRIMARY KEY (organisation)
);

CREATE TABLE api_key (
  organisation text COLLATE "C" NOT NULL,
  id           text COLLATE "C" NOT NULL,
  name         text NOT NULL,
  secret_hash  text NOT NULL,
  scopes       text[] NOT NULL,
  -- Null: every site, every sender.
  sites        text[],
  sources      text[],
  created_at   bigint NOT NULL,
  revoked_at   bigint,
  PRIMARY KEY (organisation, id)
);

-- Decides duplicates. Apart from the ledger, so that the ledger may one day be partitioned by month.
CREATE TABLE event_key (
  organisation text COLLATE "C" NOT NULL,
  source       text COLLATE "C" NOT NULL,
  id           text COLLATE "C" NOT NULL,
  site         text COLLATE "C" NOT NULL,
  at           bigint NOT NULL,
  hash         text NOT NULL,
  PRIMARY KEY (organisation, source, id)
);

-- The ledger; its key is the order of the fold.
CREATE TABLE event (
  organisation text COLLATE "C" NOT NULL,
  site         text COLLATE "C" NOT NULL,
  at           bigint NOT NULL,
  rank         smallint NOT NULL,
  source       text COLLATE "C" NOT NULL,
  id           text COLLATE "C" NOT NULL,
  type         text COLLATE "C" NOT NULL,
  subject      text,
  data         jsonb NOT NULL,
  received_at  bigint NOT NULL,
  PRIMARY KEY (organisation, site, at, rank, source, id)
);

-- What was refused, for thirty days. Fields are null where the sender's could not be read.
CREATE TABLE rejected_event (
  organisation text COLLATE "C" NOT NULL,
  seq          bigint GENERATED ALWAYS AS IDENTITY,
  received_at  bigint NOT NULL,
  source       text COLLATE "C",
  id           text COLLATE "C",
  site         text COLLATE "C",
  type         text COLLATE "C",
  faults       jsonb NOT NULL,
  body         jsonb,
  PRIMARY KEY (organisation, seq)
);

CREATE INDEX rejected_event_received ON rejected_event (organisation, received_at);

-- One narrow row a site: locked by every write to the site, rewritten by most. No index but its key, and room on the
-- page, so that the rewrite touches no index.
CREATE TABLE site_head (
  organisation text COLLATE "C" NOT NULL,
  site         text COLLATE "C" NOT NULL,
  version      bigint NOT NULL DEFAULT 0,
  -- Order key of the last event applied; null before the first.
  last_at      bigint,
  last_rank    smallint,
  last_source  text COLLATE "C",
  last_id      text COLLATE "C",
  packs_hash   text NOT NULL DEFAULT '',
  next_due     bigint,
  swept_to     bigint NOT NULL DEFAULT 0,
  events       bigint NOT NULL DEFAULT 0,
  -- End of the site's audit chain.
  audit_seq    bigint NOT NULL DEFAULT 0,
  audit_hash   text NOT NULL DEFAULT '',
  -- Why the fold has not run over the site's latest events; null when it has.
  unjudged     text,
  updated_at   bigint NOT NULL,
  PRIMARY KEY (organisation, site)
) WITH (fillfactor = 50);

CREATE TABLE finding (
  organisation     text COLLATE "C" NOT NULL,
  site             text COLLATE "C" NOT NULL,
  id               text COLLATE "C" NOT NULL,
  rule             text COLLATE "C" NOT NULL,
  pack             text COLLATE "C" NOT NULL,
  pack_version     text NOT NULL,
  kind             text NOT NULL,
  topic            text COLLATE "C" NOT NULL,
  line             text COLLATE "C",
  tube             text COLLATE "C",
  severity         text NOT NULL,
  state            text NOT NULL,
  opened_at        bigint NOT NULL,
  due_at           bigint,
  announce_at      bigint,
  closed_at        bigint,
  revision         integer NOT NULL,
  -- Fold instant of the latest change.
  touched_at       bigint NOT NULL,
  message          text NOT NULL,
  -- The whole finding as the fold holds it.
  detail           jsonb NOT NULL,
  trace            jsonb,
  evaluators_agree boolean,
  PRIMARY KEY (organisation, site, id)
);

CREATE INDEX finding_id ON finding (organisation, id);
CREATE INDEX finding_opened ON finding (organisation, opened_at, id);
CREATE INDEX finding_open ON finding (organisation, site, opened_at, id) WHERE state IN ('open', 'acknowledged');

-- The audit trail of a site: one row a change, each carrying the hash of the one before.
CREATE TABLE finding_change (
  organisation  text COLLATE "C" NOT NULL,
  site          text COLLATE "C" NOT NULL,
  seq           bigint NOT NULL,
  -- Lets a reader page in commit order: rows of transactions older than every running one cannot be joined by more.
  xid           xid8 NOT NULL DEFAULT pg_current_xact_id(),
  finding       text COLLATE "C" NOT NULL,
  revision      integer NOT NULL,
  change        text NOT NULL CHECK (change IN ('opened', 'changed', 'closed', 'withdrawn', 'reinstated')),
  cause         text NOT NULL CHECK (cause IN ('live', 'late', 'replay', 'sweep')),
  -- Server time.
  at            bigint NOT NULL,
  content       jsonb NOT NULL,
  previous_hash text NOT NULL,
  hash          text NOT NULL,
  PRIMARY KEY (organisation, site, seq)
);

CREATE INDEX finding_change_commit ON finding_change (organisation, xid, site, seq);
CREATE INDEX finding_change_finding ON finding_change (organisation, finding, revision);

-- The audit trail of administration: one chain an organisation.
CREATE TABLE admin_change (
  organisation  text COLLATE "C" NOT NULL,
  seq           bigint NOT NULL,
  at            bigint NOT NULL,
  actor         text NOT NULL,
  change        text NOT NULL,
  content       jsonb NOT NULL,
  previous_hash text NOT NULL,
  hash          text NOT NULL,
  PRIMARY KEY (organisation, seq)
);

DO $$
DECLARE
  name text;
BEGIN
  FOREACH name IN ARRAY ARRAY['organisation', 'api_key', 'event_key', 'event', 'rejected_event', 'site_head', 'finding',
                              'finding_change', 'admin_change']
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', name);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', name);
    EXECUTE format(
      'CREATE POLICY own_organisation ON %I
         USING (organisation = current_setting(''stepwedge.organisation'', true))
         WITH CHECK (organisation = current_setting(''stepwedge.organisation'', true))', name);
  END LOOP;
END
$$;

-- The sweeper and health list the organisations; nothing else may read across them.
CREATE POLICY listed_by_the_system ON organisation FOR SELECT
  USING (current_setting('stepwedge.system', true) = 'on');

-- What was accepted and what was said of it is appended, never edited: the application has no right to.
GRANT SELECT, INSERT ON event_key, event, finding_change, admin_change TO stepwedge_app;
GRANT SELECT, INSERT, DELETE ON rejected_event TO stepwedge_app;
GRANT SELECT, INSERT, UPDATE ON organisation, api_key, site_head, finding TO stepwedge_app;
