-- +goose Up

-- Whether anything was undone after an instant is asked by every page.
CREATE INDEX entries_undone ON entries (voided_at_ms) WHERE voided_by <> '';

-- +goose Down
DROP INDEX entries_undone;
