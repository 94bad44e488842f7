-- +goose Up

-- What the logbook's seals cover of the history: each entry of a load or an
-- entry by hand bears the digest of the rows after rows_from, up to rows_to.
ALTER TABLE logbook ADD COLUMN rows_from BIGINT NOT NULL DEFAULT 0;
ALTER TABLE logbook ADD COLUMN rows_to BIGINT NOT NULL DEFAULT 0;
ALTER TABLE logbook ADD COLUMN rows_digest {{text}} NOT NULL DEFAULT '';

-- Salted hashes of the cells that name a person, as JSON: the digest covers the
-- hash, so that a name can be taken out and the rest still be proved.
ALTER TABLE history ADD COLUMN blind {{text}} NOT NULL DEFAULT '';

-- 1: there are rows from before, which the program seals when it starts.
ALTER TABLE logbook_head ADD COLUMN unsealed BIGINT NOT NULL DEFAULT 0;
UPDATE logbook_head SET unsealed = 1 WHERE EXISTS (SELECT 1 FROM history);

-- +goose Down
ALTER TABLE logbook_head DROP COLUMN unsealed;
ALTER TABLE history DROP COLUMN blind;
ALTER TABLE logbook DROP COLUMN rows_digest;
ALTER TABLE logbook DROP COLUMN rows_to;
ALTER TABLE logbook DROP COLUMN rows_from;
