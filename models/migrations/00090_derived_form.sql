-- +goose Up

-- The form in which what is derived was last written. A program that writes
-- another form computes everything anew when it first opens the database.
ALTER TABLE yard_state ADD COLUMN derived_form BIGINT NOT NULL DEFAULT 0;

-- +goose Down
ALTER TABLE yard_state DROP COLUMN derived_form;
