-- +goose Up

-- What an estimator says is still to be spent, and why.
CREATE TABLE stated (
    hull        {{text}} NOT NULL,
    stage       {{text}} NOT NULL,
    element     {{text}} NOT NULL,
    purpose     {{text}} NOT NULL,
    at_ms       BIGINT NOT NULL,
    to_complete BIGINT,
    spent       BIGINT,
    who         {{text}} NOT NULL,
    why         {{text}} NOT NULL,
    PRIMARY KEY (hull, stage, element, purpose, at_ms)
);

-- +goose Down
DROP TABLE stated;
