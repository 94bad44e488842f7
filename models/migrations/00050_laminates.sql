-- +goose Up

-- How a laminate is made, and the band its fibre mass fraction should lie in.
CREATE TABLE processes (
    process {{text}} PRIMARY KEY,
    name    {{text}} NOT NULL,
    low     BIGINT,
    high    BIGINT,
    source  {{text}} NOT NULL
);
ALTER TABLE jobs ADD COLUMN process {{text}} NOT NULL DEFAULT '';
ALTER TABLE estimate ADD COLUMN plies BIGINT;

-- +goose Down
ALTER TABLE estimate DROP COLUMN plies;
ALTER TABLE jobs DROP COLUMN process;
DROP TABLE processes;
