-- +goose Up

-- The hours of direct labour that a year was planned with.
ALTER TABLE overhead_budget ADD COLUMN hours BIGINT NOT NULL DEFAULT 0;

-- +goose Down
ALTER TABLE overhead_budget DROP COLUMN hours;
