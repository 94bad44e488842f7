-- +goose Up

-- Facts of the team leader's desk.

CREATE TABLE progress (
    job     {{text}} NOT NULL REFERENCES jobs,
    at_ms   BIGINT NOT NULL,
    percent BIGINT NOT NULL CHECK (percent BETWEEN 0 AND 100),
    who     {{text}} NOT NULL,
    why     {{text}} NOT NULL,
    PRIMARY KEY (job, at_ms)
);

CREATE TABLE approvals (
    worker     {{text}} NOT NULL REFERENCES workers,
    week       {{text}} NOT NULL,
    at_ms      BIGINT NOT NULL,
    outcome    {{text}} NOT NULL,
    ordinary_s BIGINT NOT NULL,
    overtime_s BIGINT NOT NULL,
    double_s   BIGINT NOT NULL,
    digest     {{text}} NOT NULL,
    who        {{text}} NOT NULL,
    PRIMARY KEY (worker, week, at_ms)
);
CREATE INDEX approvals_by_week ON approvals (week, worker);

CREATE TABLE job_holds (
    job    {{text}} NOT NULL REFERENCES jobs,
    kind   {{text}} NOT NULL,
    before {{text}} NOT NULL REFERENCES jobs,
    hours  BIGINT NOT NULL CHECK (hours > 0), -- millionths
    PRIMARY KEY (job, kind, before)
);

CREATE TABLE checks (
    job     {{text}} NOT NULL REFERENCES jobs,
    at_ms   BIGINT NOT NULL,
    kind    {{text}} NOT NULL,
    value   BIGINT NOT NULL, -- millionths of the check's unit
    minutes BIGINT,          -- millionths
    who     {{text}} NOT NULL,
    note    {{text}} NOT NULL,
    PRIMARY KEY (job, at_ms, kind)
);

CREATE TABLE reworks (
    job     {{text}} PRIMARY KEY REFERENCES jobs,
    problem {{text}} NOT NULL,
    at_ms   BIGINT NOT NULL,
    who     {{text}} NOT NULL
);
CREATE INDEX reworks_by_problem ON reworks (problem);

CREATE TABLE settled (
    kind      {{text}} NOT NULL,
    exception {{text}} NOT NULL,
    at_ms     BIGINT NOT NULL,
    outcome   {{text}} NOT NULL,
    who       {{text}} NOT NULL,
    why       {{text}} NOT NULL,
    PRIMARY KEY (kind, exception, at_ms)
);

-- Which check or problem an entry notes, and over which minutes (millionths).
ALTER TABLE entries ADD COLUMN detail {{text}} NOT NULL DEFAULT '';
ALTER TABLE entries ADD COLUMN minutes BIGINT NOT NULL DEFAULT 0;
CREATE INDEX entries_noted ON entries (job, at_ms) WHERE kind = 'check' OR kind = 'problem';

-- What the desk looks for among months of reads and pieces.
CREATE INDEX reads_flagged ON reads (at_ms) WHERE flag <> '';
CREATE INDEX reads_unknown ON reads (at_ms) WHERE code = 'unknown_code' OR code = 'unknown_station';

-- +goose Down
DROP INDEX reads_unknown;
DROP INDEX reads_flagged;
DROP INDEX entries_noted;
ALTER TABLE entries DROP COLUMN minutes;
ALTER TABLE entries DROP COLUMN detail;
DROP TABLE settled;
DROP TABLE reworks;
DROP TABLE checks;
DROP TABLE job_holds;
DROP TABLE approvals;
DROP TABLE progress;
