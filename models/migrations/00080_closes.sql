-- +goose Up

-- Months closed, and opened again, by people. Rows are only ever added.
CREATE TABLE closes (
    period {{text}} NOT NULL,
    at_ms  BIGINT NOT NULL,
    kind   {{text}} NOT NULL,
    who    {{text}} NOT NULL,
    second {{text}} NOT NULL,
    why    {{text}} NOT NULL,
    digest {{text}} NOT NULL,
    PRIMARY KEY (period, at_ms)
);

-- What was booked in a month when it was closed: facts from then on, told
-- apart by the instant of the close.
CREATE TABLE frozen (
    closed_ms BIGINT NOT NULL,
    seq       BIGINT NOT NULL,
    source    {{text}} NOT NULL,
    date      {{text}} NOT NULL,
    period    BIGINT NOT NULL,
    debit     {{text}} NOT NULL,
    credit    {{text}} NOT NULL,
    hull      {{text}} NOT NULL,
    stage     {{text}} NOT NULL,
    job       {{text}} NOT NULL,
    element   {{text}} NOT NULL,
    purpose   {{text}} NOT NULL,
    detail    {{text}} NOT NULL,
    seconds   BIGINT NOT NULL,
    quantity  BIGINT NOT NULL,
    net       BIGINT NOT NULL,
    waste     BIGINT NOT NULL,
    amount    BIGINT NOT NULL,
    adjusts   BIGINT NOT NULL, -- 1: it was an adjustment of a month before
    PRIMARY KEY (closed_ms, seq)
);
CREATE INDEX frozen_by_cell ON frozen (hull, stage, element, period) WHERE hull <> '';
CREATE INDEX frozen_by_source ON frozen (source);

-- What was paid for in a month when it was closed, by worker, day and band.
CREATE TABLE frozen_pay (
    closed_ms       BIGINT NOT NULL,
    worker          {{text}} NOT NULL,
    date            {{text}} NOT NULL,
    band            {{text}} NOT NULL,
    seconds         BIGINT NOT NULL,
    booked          BIGINT NOT NULL,
    indirect        BIGINT NOT NULL,
    provisional     BIGINT NOT NULL,
    base            BIGINT NOT NULL,
    on_cost         BIGINT NOT NULL,
    premium         BIGINT NOT NULL,
    premium_on_cost BIGINT NOT NULL,
    PRIMARY KEY (closed_ms, worker, date, band)
);

-- The tables that were signed with a close, row by row.
CREATE TABLE signed (
    closed_ms BIGINT NOT NULL,
    name      {{text}} NOT NULL,
    seq       BIGINT NOT NULL,
    cells     {{text}} NOT NULL,
    PRIMARY KEY (closed_ms, name, seq)
);

-- Derived: what closed months would have been by what is known now, less what
-- they were, in the first open month. One row for each thing adjusted.
CREATE TABLE adjustments (
    id       {{text}} PRIMARY KEY,
    source   {{text}} NOT NULL,
    debit    {{text}} NOT NULL,
    credit   {{text}} NOT NULL,
    hull     {{text}} NOT NULL,
    stage    {{text}} NOT NULL,
    job      {{text}} NOT NULL,
    element  {{text}} NOT NULL,
    purpose  {{text}} NOT NULL,
    detail   {{text}} NOT NULL,
    seconds  BIGINT NOT NULL,
    quantity BIGINT NOT NULL,
    net      BIGINT NOT NULL,
    waste    BIGINT NOT NULL,
    amount   BIGINT NOT NULL
);

CREATE INDEX postings_by_period ON postings (period);

-- +goose Down
DROP INDEX postings_by_period;
DROP TABLE adjustments;
DROP TABLE signed;
DROP TABLE frozen_pay;
DROP TABLE frozen;
DROP TABLE closes;
