-- +goose Up

-- The yard's own data, as its files give it. Decimals are millionths, columns
-- that end in _ms are milliseconds since 1970, days are ISO 8601 text.

CREATE TABLE yard_state (
    id      BIGINT PRIMARY KEY CHECK (id = 1),
    version BIGINT NOT NULL
);
INSERT INTO yard_state (id, version) VALUES (1, 0);

CREATE TABLE history (
    seq        {{serial}},
    at_ms      BIGINT NOT NULL,
    who        {{text}} NOT NULL,
    file       {{text}} NOT NULL,
    row_key    {{text}} NOT NULL,
    row_before {{text}} NOT NULL,
    row_after  {{text}} NOT NULL
);
CREATE INDEX history_row ON history (file, row_key);

CREATE TABLE policy (
    key       {{text}} NOT NULL,
    from_date {{text}} NOT NULL,
    value     {{text}} NOT NULL,
    PRIMARY KEY (key, from_date)
);

CREATE TABLE grades (
    grade         {{text}} NOT NULL,
    from_date     {{text}} NOT NULL,
    standard_rate BIGINT NOT NULL CHECK (standard_rate >= 0),
    PRIMARY KEY (grade, from_date)
);

CREATE TABLE shifts (
    shift        {{text}} NOT NULL,
    weekday      BIGINT NOT NULL CHECK (weekday BETWEEN 1 AND 7),
    start_minute BIGINT NOT NULL,
    end_minute   BIGINT NOT NULL,
    PRIMARY KEY (shift, weekday)
);

CREATE TABLE breaks (
    shift        {{text}} NOT NULL,
    weekday      BIGINT NOT NULL CHECK (weekday BETWEEN 0 AND 7),
    start_minute BIGINT NOT NULL,
    end_minute   BIGINT NOT NULL,
    PRIMARY KEY (shift, weekday, start_minute)
);

CREATE TABLE holidays (
    date {{text}} PRIMARY KEY,
    name {{text}} NOT NULL
);

CREATE TABLE crews (
    crew {{text}} PRIMARY KEY,
    name {{text}} NOT NULL
);

CREATE TABLE indirects (
    indirect {{text}} PRIMARY KEY,
    name     {{text}} NOT NULL
);

CREATE TABLE stations (
    station {{text}} PRIMARY KEY,
    name    {{text}} NOT NULL,
    kind    {{text}} NOT NULL,
    place   {{text}} NOT NULL
);

CREATE TABLE workers (
    number    {{text}} PRIMARY KEY,
    name      {{text}} NOT NULL,
    grade     {{text}} NOT NULL,
    crew      {{text}} NOT NULL,
    shift     {{text}} NOT NULL,
    signs_off BOOLEAN NOT NULL
);

CREATE TABLE rates (
    worker    {{text}} NOT NULL REFERENCES workers,
    from_date {{text}} NOT NULL,
    rate      BIGINT NOT NULL CHECK (rate >= 0),
    PRIMARY KEY (worker, from_date)
);

CREATE TABLE stages (
    stage    {{text}} PRIMARY KEY,
    name     {{text}} NOT NULL,
    sequence BIGINT NOT NULL
);

CREATE TABLE overheads (
    stage     {{text}} NOT NULL REFERENCES stages,
    from_date {{text}} NOT NULL,
    rate      BIGINT NOT NULL CHECK (rate >= 0),
    PRIMARY KEY (stage, from_date)
);

CREATE TABLE hulls (
    hull           {{text}} PRIMARY KEY,
    model          {{text}} NOT NULL,
    name           {{text}} NOT NULL,
    price          BIGINT NOT NULL,
    price_currency {{text}} NOT NULL,
    price_rate     BIGINT NOT NULL CHECK (price_rate > 0),
    signed         {{text}} NOT NULL,
    due            {{text}} NOT NULL
);

CREATE TABLE changes (
    change {{text}} PRIMARY KEY,
    hull   {{text}} NOT NULL REFERENCES hulls,
    title  {{text}} NOT NULL,
    price  BIGINT NOT NULL,
    status {{text}} NOT NULL,
    agreed {{text}} NOT NULL
);

CREATE TABLE jobs (
    job          {{text}} PRIMARY KEY,
    hull         {{text}} NOT NULL,
    stage        {{text}} NOT NULL REFERENCES stages,
    part         {{text}} NOT NULL,
    purpose      {{text}} NOT NULL,
    change       {{text}} NOT NULL,
    rush         BOOLEAN NOT NULL,
    waste_factor BIGINT,
    shares       {{text}} NOT NULL,
    CHECK ((hull = '') <> (shares = ''))
);

CREATE TABLE items (
    item           {{text}} PRIMARY KEY,
    name           {{text}} NOT NULL,
    stock_unit     {{text}} NOT NULL,
    cost_method    {{text}} NOT NULL,
    standard_price BIGINT NOT NULL,
    waste_mode     {{text}} NOT NULL,
    waste_factor   BIGINT,
    kg_per_unit    BIGINT,
    aboard_share   BIGINT,
    role           {{text}} NOT NULL,
    roll_width_m   BIGINT,
    sheet_m2       BIGINT,
    kg_per_litre   BIGINT,
    hardener       {{text}} NOT NULL,
    hardener_parts BIGINT
);

CREATE TABLE waste_factors (
    item      {{text}} NOT NULL REFERENCES items,
    from_date {{text}} NOT NULL,
    factor    BIGINT NOT NULL CHECK (factor >= 0),
    PRIMARY KEY (item, from_date)
);

CREATE TABLE lots (
    lot            {{text}} PRIMARY KEY,
    item           {{text}} NOT NULL REFERENCES items,
    received_ms    BIGINT NOT NULL,
    quantity       BIGINT NOT NULL CHECK (quantity > 0),
    unit           {{text}} NOT NULL,
    price          BIGINT NOT NULL CHECK (price >= 0),
    currency       {{text}} NOT NULL,
    fx             BIGINT,
    landed         BIGINT,
    expires        {{text}} NOT NULL,
    supplier_batch {{text}} NOT NULL
);
CREATE INDEX lots_item ON lots (item);

CREATE TABLE invoices (
    lot      {{text}} NOT NULL REFERENCES lots,
    at_ms    BIGINT NOT NULL,
    price    BIGINT NOT NULL CHECK (price >= 0),
    currency {{text}} NOT NULL,
    fx       BIGINT,
    landed   BIGINT,
    PRIMARY KEY (lot, at_ms)
);

CREATE TABLE counts (
    lot      {{text}} NOT NULL REFERENCES lots,
    at_ms    BIGINT NOT NULL,
    quantity BIGINT NOT NULL CHECK (quantity >= 0),
    PRIMARY KEY (lot, at_ms)
);

CREATE TABLE estimate (
    job           {{text}} NOT NULL REFERENCES jobs,
    change        {{text}} NOT NULL,
    element       {{text}} NOT NULL,
    key           {{text}} NOT NULL,
    ordinal       BIGINT NOT NULL,
    quantity      BIGINT NOT NULL,
    waste         BIGINT,
    standard_rate BIGINT NOT NULL,
    PRIMARY KEY (job, change, element, key, ordinal)
);

CREATE TABLE budget (
    hull  {{text}} NOT NULL REFERENCES hulls,
    stage {{text}} NOT NULL REFERENCES stages,
    kg    BIGINT NOT NULL CHECK (kg >= 0),
    PRIMARY KEY (hull, stage)
);

CREATE TABLE bought (
    document    {{text}} NOT NULL,
    date        {{text}} NOT NULL,
    hull        {{text}} NOT NULL REFERENCES hulls,
    stage       {{text}} NOT NULL REFERENCES stages,
    description {{text}} NOT NULL,
    amount      BIGINT NOT NULL,
    currency    {{text}} NOT NULL,
    fx          BIGINT,
    purpose     {{text}} NOT NULL,
    PRIMARY KEY (document, hull, stage, description)
);

CREATE TABLE billing (
    hull        {{text}} NOT NULL REFERENCES hulls,
    date        {{text}} NOT NULL,
    description {{text}} NOT NULL,
    amount      BIGINT NOT NULL,
    PRIMARY KEY (hull, date, description)
);

CREATE TABLE corrections (
    worker {{text}} NOT NULL REFERENCES workers,
    at_ms  BIGINT NOT NULL,
    kind   {{text}} NOT NULL,
    target {{text}} NOT NULL,
    who    {{text}} NOT NULL,
    why    {{text}} NOT NULL,
    PRIMARY KEY (worker, at_ms, kind, target)
);

CREATE TABLE codes (
    payload    {{text}} PRIMARY KEY,
    kind       {{text}} NOT NULL,
    key        {{text}} NOT NULL,
    issued_ms  BIGINT NOT NULL,
    revoked_ms BIGINT
);
-- A thing has one code in force; its revoked ones stay known.
CREATE UNIQUE INDEX codes_in_force ON codes (kind, key) WHERE revoked_ms IS NULL;
