-- +goose Up

-- Which rows of which yard file each version of the yard changed; a blank key
-- is the whole file. By it a server reads anew only what differs.
CREATE TABLE yard_changes (
    version BIGINT NOT NULL,
    file    {{text}} NOT NULL,
    row_key {{text}} NOT NULL,
    PRIMARY KEY (version, file, row_key)
);
CREATE INDEX lots_parent ON lots (parent);
CREATE INDEX lots_delivery ON lots (delivery);
CREATE INDEX codes_owner ON codes (kind, key);

-- +goose Down
DROP INDEX codes_owner;
DROP INDEX lots_delivery;
DROP INDEX lots_parent;
DROP TABLE yard_changes;
