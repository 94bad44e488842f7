-- +goose Up

-- Where a lot was put, each time somebody said so: the last one holds.
CREATE TABLE lot_places (
    lot   {{text}} NOT NULL REFERENCES lots,
    at_ms BIGINT NOT NULL,
    place {{text}} NOT NULL,
    who   {{text}} NOT NULL,
    PRIMARY KEY (lot, at_ms)
);

-- Why a lot was used although its date has passed, or was written off.
CREATE TABLE stock_reasons (
    station {{text}} NOT NULL,
    at_ms   BIGINT NOT NULL,
    lot     {{text}} NOT NULL REFERENCES lots,
    kind    {{text}} NOT NULL,
    reason  {{text}} NOT NULL,
    who     {{text}} NOT NULL,
    PRIMARY KEY (station, at_ms, lot, kind)
);
CREATE INDEX stock_reasons_by_lot ON stock_reasons (lot, at_ms);

-- Which item a supplier's trade number (GTIN) stands for.
CREATE TABLE trade_numbers (
    gtin {{text}} PRIMARY KEY,
    item {{text}} NOT NULL REFERENCES items
);

-- Goods that came before their price: the item's standard price stands in.
ALTER TABLE lots ADD COLUMN awaits_invoice BOOLEAN NOT NULL DEFAULT false;

-- What a job drew is asked for at every scan of its card.
CREATE INDEX entries_of_stock ON entries (job, at_ms) WHERE lot <> '' AND job <> '';

-- +goose Down
DROP INDEX entries_of_stock;
ALTER TABLE lots DROP COLUMN awaits_invoice;
DROP TABLE trade_numbers;
DROP TABLE stock_reasons;
DROP TABLE lot_places;
