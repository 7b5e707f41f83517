-- Where an organisation's changes stand in its feed. Within one database that is the number of their transaction; another
-- database counts its transactions from elsewhere. So what moves in keeps its places, and what follows is placed this much
-- further than its transaction, behind all of them: whoever reads the feed goes on from the cursor that they have.
ALTER TABLE organisation ADD COLUMN feed_offset bigint NOT NULL DEFAULT 0;
