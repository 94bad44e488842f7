-- +goose Up

-- How long a lot keeps once it was opened, and whether it is issued in whole units only.
ALTER TABLE items ADD COLUMN open_life_days BIGINT NOT NULL DEFAULT 0;
ALTER TABLE items ADD COLUMN whole BOOLEAN NOT NULL DEFAULT FALSE;

-- What a lot came with, and what it was cut from.
ALTER TABLE lots ADD COLUMN delivery {{text}} NOT NULL DEFAULT '';
ALTER TABLE lots ADD COLUMN parent {{text}} NOT NULL DEFAULT '';
ALTER TABLE lots ADD COLUMN from_job {{text}} NOT NULL DEFAULT '';
ALTER TABLE counts ADD COLUMN sheet {{text}} NOT NULL DEFAULT '';
ALTER TABLE counts ADD COLUMN who {{text}} NOT NULL DEFAULT '';

CREATE TABLE deliveries (
    delivery    {{text}} PRIMARY KEY,
    received_ms BIGINT NOT NULL,
    supplier    {{text}} NOT NULL,
    note        {{text}} NOT NULL
);

-- Freight and customs of a delivery, shared over its lots.
CREATE TABLE landed (
    delivery {{text}} NOT NULL REFERENCES deliveries,
    at_ms    BIGINT NOT NULL,
    what     {{text}} NOT NULL,
    amount   BIGINT NOT NULL,
    currency {{text}} NOT NULL,
    fx       BIGINT,
    share_by {{text}} NOT NULL,
    PRIMARY KEY (delivery, at_ms, what)
);

-- Spot rates: base currency per unit of another, from a day on.
CREATE TABLE fx (
    currency  {{text}} NOT NULL,
    from_date {{text}} NOT NULL,
    rate      BIGINT NOT NULL CHECK (rate > 0),
    PRIMARY KEY (currency, from_date)
);

CREATE TABLE holds (
    lot   {{text}} NOT NULL REFERENCES lots,
    at_ms BIGINT NOT NULL,
    kind  {{text}} NOT NULL,
    who   {{text}} NOT NULL,
    why   {{text}} NOT NULL,
    PRIMARY KEY (lot, at_ms)
);

CREATE TABLE payments (
    payment  {{text}} NOT NULL,
    lot      {{text}} NOT NULL,
    document {{text}} NOT NULL,
    date     {{text}} NOT NULL,
    amount   BIGINT NOT NULL,
    currency {{text}} NOT NULL,
    fx       BIGINT,
    PRIMARY KEY (payment, lot, document)
);

CREATE TABLE count_sheets (
    sheet     {{text}} PRIMARY KEY,
    place     {{text}} NOT NULL,
    opened_ms BIGINT NOT NULL,
    who       {{text}} NOT NULL
);

-- What was counted on a sheet, before it is posted.
CREATE TABLE tallies (
    sheet    {{text}} NOT NULL REFERENCES count_sheets,
    lot      {{text}} NOT NULL REFERENCES lots,
    round    BIGINT NOT NULL,
    at_ms    BIGINT NOT NULL,
    quantity BIGINT NOT NULL CHECK (quantity >= 0),
    who      {{text}} NOT NULL,
    PRIMARY KEY (sheet, lot, round)
);

-- +goose Down
DROP TABLE tallies;
DROP TABLE count_sheets;
DROP TABLE payments;
DROP TABLE holds;
DROP TABLE fx;
DROP TABLE landed;
DROP TABLE deliveries;
ALTER TABLE counts DROP COLUMN who;
ALTER TABLE counts DROP COLUMN sheet;
ALTER TABLE lots DROP COLUMN from_job;
ALTER TABLE lots DROP COLUMN parent;
ALTER TABLE lots DROP COLUMN delivery;
ALTER TABLE items DROP COLUMN whole;
ALTER TABLE items DROP COLUMN open_life_days;
