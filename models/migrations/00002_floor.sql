-- +goose Up

-- What the floor sent. Rows are only ever added; outcome, code and detail say
-- what the read did as its station's sentence stands now.
CREATE TABLE reads (
    id          {{text}} PRIMARY KEY,
    station     {{text}} NOT NULL,
    n           BIGINT NOT NULL,
    at_ms       BIGINT NOT NULL,
    payload     {{text}} NOT NULL,
    received_ms BIGINT NOT NULL,
    flag        {{text}} NOT NULL,
    outcome     {{text}} NOT NULL,
    code        {{text}} NOT NULL,
    detail      {{text}} NOT NULL
);
CREATE INDEX reads_in_order ON reads (station, at_ms, n, id);
CREATE INDEX reads_by_instant ON reads (at_ms);

-- Everything below is derived: a pure function of the reads and the yard files.

CREATE TABLE station_heads (
    station {{text}} PRIMARY KEY,
    at_ms   BIGINT NOT NULL,
    n       BIGINT NOT NULL,
    read_id {{text}} NOT NULL,
    context {{text}} NOT NULL
);

CREATE TABLE entries (
    id           {{text}} PRIMARY KEY,
    at_ms        BIGINT NOT NULL,
    station      {{text}} NOT NULL,
    n            BIGINT NOT NULL,
    kind         {{text}} NOT NULL,
    worker       {{text}} NOT NULL,
    crew         {{text}} NOT NULL,
    job          {{text}} NOT NULL,
    indirect     {{text}} NOT NULL,
    lot          {{text}} NOT NULL,
    quantity     BIGINT NOT NULL,
    percent      BIGINT NOT NULL,
    voided_by    {{text}} NOT NULL,
    voided_at_ms BIGINT NOT NULL
);
CREATE INDEX entries_by_worker ON entries (worker, at_ms);
CREATE INDEX entries_by_crew ON entries (crew, at_ms) WHERE crew <> '';
CREATE INDEX entries_by_lot ON entries (lot, at_ms) WHERE lot <> '';
CREATE INDEX entries_of_progress ON entries (job, at_ms) WHERE kind = 'progress';
CREATE INDEX entries_by_instant ON entries (at_ms);

-- A worker's fold after the last entry; the folds of earlier weeks are in worker_weeks.
CREATE TABLE worker_heads (
    worker          {{text}} PRIMARY KEY,
    week            {{text}} NOT NULL,
    last_at_ms      BIGINT NOT NULL,
    last_correction BIGINT NOT NULL,
    last_station    {{text}} NOT NULL,
    last_n          BIGINT NOT NULL,
    last_id         {{text}} NOT NULL,
    pieces          BIGINT NOT NULL,
    postings        BIGINT NOT NULL,
    is_open         BIGINT NOT NULL,
    fold            {{text}} NOT NULL
);
CREATE TABLE worker_weeks (
    worker          {{text}} NOT NULL,
    week            {{text}} NOT NULL,
    last_at_ms      BIGINT NOT NULL,
    last_correction BIGINT NOT NULL,
    last_station    {{text}} NOT NULL,
    last_n          BIGINT NOT NULL,
    last_id         {{text}} NOT NULL,
    pieces          BIGINT NOT NULL,
    postings        BIGINT NOT NULL,
    is_open         BIGINT NOT NULL,
    fold            {{text}} NOT NULL,
    PRIMARY KEY (worker, week)
);

CREATE TABLE stock_books (
    unit         {{text}} PRIMARY KEY,
    item         {{text}} NOT NULL,
    lot          {{text}} NOT NULL,
    last_at_ms   BIGINT NOT NULL,
    last_rank    BIGINT NOT NULL,
    last_station {{text}} NOT NULL,
    last_n       BIGINT NOT NULL,
    last_source  {{text}} NOT NULL,
    postings     BIGINT NOT NULL,
    book         {{text}} NOT NULL
);

CREATE TABLE pieces (
    unit        {{text}} NOT NULL,
    seq         BIGINT NOT NULL,
    worker      {{text}} NOT NULL,
    opened      {{text}} NOT NULL,
    closed      {{text}} NOT NULL,
    station     {{text}} NOT NULL,
    date        {{text}} NOT NULL,
    start_s     BIGINT NOT NULL,
    seconds     BIGINT NOT NULL,
    band        {{text}} NOT NULL,
    job         {{text}} NOT NULL,
    indirect    {{text}} NOT NULL,
    provisional BIGINT NOT NULL,
    no_rate     BIGINT NOT NULL,
    base        BIGINT NOT NULL,
    on_cost     BIGINT NOT NULL,
    premium     BIGINT NOT NULL,
    premium_on_cost BIGINT NOT NULL,
    overhead    BIGINT NOT NULL,
    PRIMARY KEY (unit, seq)
);
CREATE INDEX pieces_by_worker ON pieces (worker, date);
CREATE INDEX pieces_by_job ON pieces (job, date) WHERE job <> '';
CREATE INDEX pieces_flagged ON pieces (worker, date) WHERE provisional = 1 OR no_rate = 1;

CREATE TABLE postings (
    unit     {{text}} NOT NULL,
    seq      BIGINT NOT NULL,
    source   {{text}} NOT NULL,
    date     {{text}} NOT NULL,
    period   BIGINT NOT NULL,
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
    amount   BIGINT NOT NULL,
    PRIMARY KEY (unit, seq)
);
CREATE INDEX postings_by_cell ON postings (hull, stage, element, period) WHERE hull <> '';

CREATE TABLE totals (
    hull    {{text}} NOT NULL,
    stage   {{text}} NOT NULL,
    element {{text}} NOT NULL,
    purpose {{text}} NOT NULL,
    period  BIGINT NOT NULL,
    seconds BIGINT NOT NULL,
    amount  BIGINT NOT NULL,
    PRIMARY KEY (hull, stage, element, purpose, period)
);
CREATE TABLE fine_totals (
    hull     {{text}} NOT NULL,
    job      {{text}} NOT NULL,
    element  {{text}} NOT NULL,
    detail   {{text}} NOT NULL,
    period   BIGINT NOT NULL,
    seconds  BIGINT NOT NULL,
    quantity BIGINT NOT NULL,
    net      BIGINT NOT NULL,
    waste    BIGINT NOT NULL,
    amount   BIGINT NOT NULL,
    PRIMARY KEY (hull, job, element, detail, period)
);
CREATE TABLE ledger_totals (
    account {{text}} NOT NULL,
    period  BIGINT NOT NULL,
    amount  BIGINT NOT NULL, -- debits less credits
    PRIMARY KEY (account, period)
);

-- +goose Down
DROP TABLE ledger_totals;
DROP TABLE fine_totals;
DROP TABLE totals;
DROP TABLE postings;
DROP TABLE pieces;
DROP TABLE stock_books;
DROP TABLE worker_weeks;
DROP TABLE worker_heads;
DROP TABLE entries;
DROP TABLE station_heads;
DROP TABLE reads;
