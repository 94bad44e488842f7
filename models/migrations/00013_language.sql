-- +goose Up

-- The language in which a station speaks to a worker; empty: the station's own.
ALTER TABLE workers ADD COLUMN language {{text}} NOT NULL DEFAULT '';

-- +goose Down
ALTER TABLE workers DROP COLUMN language;
