-- +goose Up

-- How far a station's clock was off with each batch it sent; rows are only ever
-- added. error_ms above nought: its clock is ahead of the server's.
CREATE TABLE clock_errors (
    seq         {{serial}},
    station     {{text}} NOT NULL,
    sent_ms     BIGINT NOT NULL,
    received_ms BIGINT NOT NULL,
    error_ms    BIGINT NOT NULL,
    read_count  BIGINT NOT NULL
);
CREATE INDEX clock_errors_received ON clock_errors (received_ms);

-- +goose Down
DROP TABLE clock_errors;
