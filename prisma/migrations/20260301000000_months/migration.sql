-- The ledger in parts by month (UTC) of when things happened; the key that decides duplicates stays whole.
--
-- Besides the months there are always two open ends, `event_early` and `event_late`, so that every instant has a place and
-- no event is ever refused for want of a month. Two open ends rather than one default partition: the parts then follow each
-- other in time, and PostgreSQL reads a site's ledger part after part; with a default partition it has to merge them all
-- (over ten years of months a first page begins 134 index scans at once, instead of one after the other as rows are needed).
--
-- This migration moves no row: the table so far becomes the early end, whatever its size. `arrange_ledger` makes the months.

ALTER TABLE event RENAME TO event_early;
ALTER TABLE event_early RENAME CONSTRAINT event_pkey TO event_early_pkey;
ALTER INDEX event_retraction RENAME TO event_early_retraction;

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
) PARTITION BY RANGE (at);
CREATE INDEX event_retraction ON event (organisation, site) WHERE type = 'event.retracted';

ALTER TABLE event ENABLE ROW LEVEL SECURITY;
ALTER TABLE event FORCE ROW LEVEL SECURITY;
CREATE POLICY own_organisation ON event
  USING (organisation = current_setting('stepwedge.organisation', true))
  WITH CHECK (organisation = current_setting('stepwedge.organisation', true));
GRANT SELECT, INSERT ON event TO stepwedge_app;

-- A part is reached through the whole alone. The application has no right to it, and should somebody grant one, a part
-- without a policy shows nothing. Not forced: its owner moves rows between parts, whichever organisation they belong to.
DROP POLICY own_organisation ON event_early;
ALTER TABLE event_early NO FORCE ROW LEVEL SECURITY;
REVOKE ALL ON event_early FROM stepwedge_app;

-- 00:00 UTC on the first of the month that holds an instant, `months` later.
CREATE FUNCTION month_begin(at bigint, months int DEFAULT 0) RETURNS bigint
LANGUAGE sql IMMUTABLE PARALLEL SAFE AS $$
  SELECT (extract(epoch FROM date_trunc('month', timestamp '1970-01-01' + at * interval '1 millisecond')
                             + make_interval(months => months)) * 1000)::bigint
$$;

DO $$
DECLARE
  boundary bigint;
BEGIN
  -- After everything that is there and after now: an end without rows costs nothing to attach.
  SELECT month_begin(greatest(max(at), (extract(epoch FROM now()) * 1000)::bigint), 1) INTO boundary FROM event_early;
  EXECUTE format('ALTER TABLE event ATTACH PARTITION event_early FOR VALUES FROM (MINVALUE) TO (%s)', boundary);
  EXECUTE format('CREATE TABLE event_late PARTITION OF event FOR VALUES FROM (%s) TO (MAXVALUE)', boundary);
  ALTER TABLE event_late ENABLE ROW LEVEL SECURITY;
  REVOKE ALL ON event_late FROM stepwedge_app;
END
$$;

-- Gives months their own parts: all from the late end through the month of `ahead`; and, when rows of `back` or later lie in
-- the early end, all from the oldest of those on. Rows move with their month. Answers the names of the parts it made.
--
-- It runs with the rights of the owner, as the application may not make tables; all it can be told is two instants and a
-- number. One process at a time: a second one finds nothing to do. The ledger is locked while parts change, for as long as
-- it takes to move the rows: no more than `most_rows`, else the early end stays as it is. It waits two seconds for the
-- lock and then gives up (55P03), since everybody else waits behind it.
CREATE FUNCTION arrange_ledger(back bigint, ahead bigint, most_rows bigint) RETURNS text[]
LANGUAGE plpgsql SECURITY DEFINER SET lock_timeout = '2s' AS $$
DECLARE
  early_end  bigint;
  late_begin bigint;
  new_early  bigint;
  new_late   bigint;
  held       bigint;
  step       bigint;
  part       text;
  made       text[] := '{}';
BEGIN
  IF NOT pg_try_advisory_xact_lock(7283940116) THEN
    RETURN made;
  END IF;
  SELECT substring(pg_get_expr(relpartbound, oid) FROM 'TO \(''?(-?\d+)')::bigint INTO STRICT early_end
    FROM pg_class WHERE oid = 'event_early'::regclass;
  SELECT substring(pg_get_expr(relpartbound, oid) FROM 'FROM \(''?(-?\d+)')::bigint INTO STRICT late_begin
    FROM pg_class WHERE oid = 'event_late'::regclass;

  new_late := greatest(month_begin(ahead, 1), late_begin);
  new_early := early_end;
  SELECT count(*) INTO held FROM (SELECT FROM event_early LIMIT most_rows + 1) AS first_rows;
  IF held BETWEEN 1 AND most_rows THEN
    SELECT least(month_begin(min(at)), early_end) INTO new_early FROM event_early WHERE at >= month_begin(back);
    new_early := coalesce(new_early, early_end);
  END IF;
  IF new_early = early_end AND new_late = late_begin THEN
    RETURN made;
  END IF;
  IF month_begin(new_early, 600) < early_end OR month_begin(late_begin, 600) < new_late THEN
    RAISE EXCEPTION 'More than 600 months at once are not made.' USING ERRCODE = '22023';
  END IF;

  LOCK TABLE event IN ACCESS EXCLUSIVE MODE;
  IF new_early < early_end THEN
    EXECUTE 'ALTER TABLE event DETACH PARTITION event_early';
  END IF;
  IF new_late > late_begin THEN
    EXECUTE 'ALTER TABLE event DETACH PARTITION event_late';
  END IF;
  step := new_early;
  WHILE step < new_late LOOP
    -- What lies between the two ends has its months already.
    IF step < early_end OR step >= late_begin THEN
      part := 'event_' || to_char(timestamp '1970-01-01' + step * interval '1 millisecond', 'YYYY_MM');
      EXECUTE format('CREATE TABLE %I PARTITION OF event FOR VALUES FROM (%s) TO (%s)', part, step, month_begin(step, 1));
      EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', part);
      EXECUTE format('REVOKE ALL ON %I FROM stepwedge_app', part);
      made := made || part;
    END IF;
    step := month_begin(step, 1);
  END LOOP;
  -- One pass over each end; the whole finds the part of each row, whichever organisation it belongs to.
  EXECUTE 'ALTER TABLE event NO FORCE ROW LEVEL SECURITY';
  IF new_early < early_end THEN
    EXECUTE format('WITH moved AS (DELETE FROM event_early WHERE at >= %s RETURNING *) INSERT INTO event SELECT * FROM moved', new_early);
  END IF;
  IF new_late > late_begin THEN
    EXECUTE format('WITH moved AS (DELETE FROM event_late WHERE at < %s RETURNING *) INSERT INTO event SELECT * FROM moved', new_late);
  END IF;
  EXECUTE 'ALTER TABLE event FORCE ROW LEVEL SECURITY';
  IF new_early < early_end THEN
    EXECUTE format('ALTER TABLE event ATTACH PARTITION event_early FOR VALUES FROM (MINVALUE) TO (%s)', new_early);
  END IF;
  IF new_late > late_begin THEN
    EXECUTE format('ALTER TABLE event ATTACH PARTITION event_late FOR VALUES FROM (%s) TO (MAXVALUE)', new_late);
  END IF;
  RETURN made;
END
$$;

-- Names are looked up where this migration made its tables, whatever the caller's search path says.
DO $$
BEGIN
  EXECUTE format('ALTER FUNCTION arrange_ledger(bigint, bigint, bigint) SET search_path = %I, pg_temp', current_schema());
END
$$;
REVOKE ALL ON FUNCTION arrange_ledger(bigint, bigint, bigint) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION arrange_ledger(bigint, bigint, bigint) TO stepwedge_app;
