-- +goose Up

-- What a safety data sheet says of an item, as the yard entered it.
CREATE TABLE hazards (
    item      {{text}} NOT NULL,
    statement {{text}} NOT NULL,
    signal    {{text}} NOT NULL,
    PRIMARY KEY (item, statement)
);

-- Words that every job card of a stage bears.
CREATE TABLE cautions (
    stage   {{text}} NOT NULL,
    caution {{text}} NOT NULL,
    PRIMARY KEY (stage, caution)
);

-- Every card and label that was printed; rows are only ever added.
CREATE TABLE prints (
    seq     {{serial}},
    payload {{text}} NOT NULL,
    at_ms   BIGINT NOT NULL,
    who     {{text}} NOT NULL,
    copies  BIGINT NOT NULL
);
CREATE INDEX prints_by_payload ON prints (payload);

-- +goose Down
DROP TABLE prints;
DROP TABLE cautions;
DROP TABLE hazards;
