-- +goose Up

-- Every backup that was taken; rows are only ever added.
CREATE TABLE backups (
    seq       {{serial}},
    at_ms     BIGINT NOT NULL, -- of the moment it holds
    file      {{text}} NOT NULL,
    digest    {{text}} NOT NULL,
    row_count BIGINT NOT NULL,
    bytes     BIGINT NOT NULL
);

-- +goose Down
DROP TABLE backups;
