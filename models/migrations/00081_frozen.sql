-- +goose Up

-- What a frozen line is: a posting of its month, an adjustment of a month
-- before, or the accrual of a booking that nobody had ended at the close.
ALTER TABLE frozen DROP COLUMN adjusts;
ALTER TABLE frozen ADD COLUMN kind {{text}} NOT NULL DEFAULT 'posting';

-- A difference of a tie that somebody signed for.
CREATE TABLE tie_signatures (
    period     {{text}} NOT NULL,
    tie        {{text}} NOT NULL,
    at_ms      BIGINT NOT NULL,
    difference BIGINT NOT NULL,
    who        {{text}} NOT NULL,
    why        {{text}} NOT NULL,
    PRIMARY KEY (period, tie, at_ms)
);

-- What overhead really cost, by month and account, as the ledger of the yard's
-- accountant has it; the variable part moves with hours.
CREATE TABLE overhead_actuals (
    period   {{text}} NOT NULL,
    account  {{text}} NOT NULL,
    amount   BIGINT NOT NULL,
    variable BIGINT,
    PRIMARY KEY (period, account)
);

-- What the year's absorption rates were made from.
CREATE TABLE overhead_budget (
    year     {{text}} NOT NULL,
    account  {{text}} NOT NULL,
    amount   BIGINT NOT NULL,
    variable BIGINT,
    PRIMARY KEY (year, account)
);

-- Goods that a hull will have installed, which earn no margin until then.
CREATE TABLE uninstalled (
    document    {{text}} NOT NULL,
    hull        {{text}} NOT NULL REFERENCES hulls,
    stage       {{text}} NOT NULL REFERENCES stages,
    description {{text}} NOT NULL,
    expected    BIGINT NOT NULL,
    installed   {{text}} NOT NULL,
    PRIMARY KEY (document, hull, stage, description)
);

-- Hulls handed over.
CREATE TABLE handovers (
    hull {{text}} PRIMARY KEY REFERENCES hulls,
    date {{text}} NOT NULL,
    who  {{text}} NOT NULL
);

-- The yard's own names for the engine's accounts.
CREATE TABLE accounts (
    account {{text}} PRIMARY KEY,
    code    {{text}} NOT NULL,
    name    {{text}} NOT NULL
);

-- +goose Down
DROP TABLE accounts;
DROP TABLE handovers;
DROP TABLE uninstalled;
DROP TABLE overhead_budget;
DROP TABLE overhead_actuals;
DROP TABLE tie_signatures;
ALTER TABLE frozen DROP COLUMN kind;
ALTER TABLE frozen ADD COLUMN adjusts BIGINT NOT NULL DEFAULT 0;
