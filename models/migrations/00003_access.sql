-- +goose Up

-- Who may sign in. The key is the name in lower case, so that no two look alike.
CREATE TABLE people (
    person        {{text}} PRIMARY KEY,
    name          {{text}} NOT NULL,
    role          {{text}} NOT NULL,
    password      {{text}} NOT NULL, -- its hash; empty: none set yet
    totp_secret   {{text}} NOT NULL, -- empty: no second factor
    totp_last     BIGINT NOT NULL,   -- the last time step used: a code works once
    epoch         BIGINT NOT NULL,   -- sessions of an earlier one are over
    made_ms       BIGINT NOT NULL,
    signed_in_ms  BIGINT NOT NULL,   -- 0: never
    barred_ms     BIGINT NOT NULL    -- 0: may sign in
);

-- Links that let a person choose a password, once. Only hashes are kept here
-- and below: who reads the database cannot sign in with what stands in it.
CREATE TABLE one_time_links (
    hash       {{text}} PRIMARY KEY,
    person     {{text}} NOT NULL, -- empty: the first owner, who picks a name
    made_ms    BIGINT NOT NULL,
    expires_ms BIGINT NOT NULL,
    used_ms    BIGINT NOT NULL
);

CREATE TABLE web_sessions (
    hash       {{text}} PRIMARY KEY,
    data       {{text}} NOT NULL,
    expires_ms BIGINT NOT NULL
);
CREATE INDEX web_sessions_expiry ON web_sessions (expires_ms);

CREATE TABLE station_keys (
    id         {{text}} PRIMARY KEY, -- names the key to people
    hash       {{text}} NOT NULL UNIQUE,
    station    {{text}} NOT NULL,
    made_ms    BIGINT NOT NULL,
    made_by    {{text}} NOT NULL,
    used_ms    BIGINT NOT NULL, -- 0: never
    revoked_ms BIGINT NOT NULL  -- 0: in force
);
CREATE INDEX station_keys_station ON station_keys (station);

CREATE TABLE enrol_codes (
    hash       {{text}} PRIMARY KEY,
    station    {{text}} NOT NULL,
    made_ms    BIGINT NOT NULL,
    made_by    {{text}} NOT NULL,
    expires_ms BIGINT NOT NULL,
    used_ms    BIGINT NOT NULL
);

-- Who did what. Each row's seal covers the row and the seal before it.
CREATE TABLE logbook (
    seq     BIGINT PRIMARY KEY,
    at_ms   BIGINT NOT NULL,
    who     {{text}} NOT NULL,
    did     {{text}} NOT NULL,
    subject {{text}} NOT NULL,
    detail  {{text}} NOT NULL,
    source  {{text}} NOT NULL,
    seal    {{text}} NOT NULL
);
CREATE TABLE logbook_head (
    id   BIGINT PRIMARY KEY CHECK (id = 1),
    seq  BIGINT NOT NULL,
    seal {{text}} NOT NULL
);
INSERT INTO logbook_head (id, seq, seal) VALUES (1, 0, '');

-- +goose Down
DROP TABLE logbook_head;
DROP TABLE logbook;
DROP TABLE enrol_codes;
DROP TABLE station_keys;
DROP TABLE web_sessions;
DROP TABLE one_time_links;
DROP TABLE people;
