-- +goose Up

-- Revisions of an estimate: rows are only ever added.
CREATE TABLE revisions (
    hull           {{text}} NOT NULL,
    revision       BIGINT NOT NULL CHECK (revision > 0),
    model          {{text}} NOT NULL,
    basis          {{text}} NOT NULL,
    day            {{text}} NOT NULL,
    price          BIGINT NOT NULL CHECK (price >= 0),
    price_currency {{text}} NOT NULL,
    price_rate     BIGINT NOT NULL CHECK (price_rate > 0),
    made_ms        BIGINT NOT NULL,
    who            {{text}} NOT NULL,
    PRIMARY KEY (hull, revision)
);

CREATE TABLE revision_lines (
    hull          {{text}} NOT NULL,
    revision      BIGINT NOT NULL,
    line          BIGINT NOT NULL,
    job           {{text}} NOT NULL,
    stage         {{text}} NOT NULL,
    part          {{text}} NOT NULL,
    purpose       {{text}} NOT NULL,
    shares        {{text}} NOT NULL,
    element       {{text}} NOT NULL,
    key           {{text}} NOT NULL,
    quantity      BIGINT NOT NULL,
    waste         BIGINT,
    standard_rate BIGINT NOT NULL,
    PRIMARY KEY (hull, revision, line)
);

-- The revision a hull was signed on, and what it came to then.
CREATE TABLE baselines (
    hull     {{text}} PRIMARY KEY,
    revision BIGINT NOT NULL,
    frozen   {{text}} NOT NULL,
    cost     BIGINT NOT NULL,
    who      {{text}} NOT NULL
);

-- The yard's own names of columns, mapped once.
CREATE TABLE headings (
    form    {{text}} NOT NULL,
    heading {{text}} NOT NULL,
    field   {{text}} NOT NULL,
    PRIMARY KEY (form, heading)
);

-- Every step of a change order, with whose word it was.
CREATE TABLE change_steps (
    change {{text}} NOT NULL,
    at_ms  BIGINT NOT NULL,
    status {{text}} NOT NULL,
    price  BIGINT NOT NULL,
    days   BIGINT NOT NULL,
    said   {{text}} NOT NULL,
    why    {{text}} NOT NULL,
    who    {{text}} NOT NULL,
    PRIMARY KEY (change, at_ms)
);

-- What is made once for several hulls, and who uses it.
CREATE TABLE tooling (
    tool         {{text}} PRIMARY KEY,
    name         {{text}} NOT NULL,
    kind         {{text}} NOT NULL,
    begun        {{text}} NOT NULL,
    planned_uses BIGINT NOT NULL
);

CREATE TABLE tool_uses (
    tool {{text}} NOT NULL,
    hull {{text}} NOT NULL,
    uses BIGINT NOT NULL,
    used {{text}} NOT NULL,
    PRIMARY KEY (tool, hull)
);

-- The stages usually done before a stage.
CREATE TABLE predecessors (
    stage       {{text}} PRIMARY KEY,
    comes_after {{text}} NOT NULL
);

-- Purchases may be charged to a tool as well as to a hull.
CREATE TABLE bought_again (
    document    {{text}} NOT NULL,
    date        {{text}} NOT NULL,
    hull        {{text}} NOT NULL,
    stage       {{text}} NOT NULL REFERENCES stages,
    description {{text}} NOT NULL,
    amount      BIGINT NOT NULL,
    currency    {{text}} NOT NULL,
    fx          BIGINT,
    purpose     {{text}} NOT NULL,
    PRIMARY KEY (document, hull, stage, description)
);
INSERT INTO bought_again (document, date, hull, stage, description, amount, currency, fx, purpose)
    SELECT document, date, hull, stage, description, amount, currency, fx, purpose FROM bought;
DROP TABLE bought;
ALTER TABLE bought_again RENAME TO bought;

-- +goose Down
DROP TABLE predecessors;
DROP TABLE tool_uses;
DROP TABLE tooling;
DROP TABLE change_steps;
DROP TABLE headings;
DROP TABLE baselines;
DROP TABLE revision_lines;
DROP TABLE revisions;
