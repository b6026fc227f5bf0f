-- +goose Up
-- Processes that serve one database. One lives as long as somebody holds the advisory lock of its number.
CREATE TABLE processes (
    id      BIGINT PRIMARY KEY,
    address TEXT   NOT NULL, -- by which the others reach it
    secret  TEXT   NOT NULL, -- by which it knows them
    began   BIGINT NOT NULL  -- microseconds since 1970, UTC
);

ALTER TABLE teachers ADD COLUMN process BIGINT NOT NULL DEFAULT 0; -- in which her workbook is open, 0 for none
ALTER TABLE teachers ADD COLUMN lease BIGINT NOT NULL DEFAULT 0;   -- counts how often that has changed

-- +goose Down
ALTER TABLE teachers DROP COLUMN lease;
ALTER TABLE teachers DROP COLUMN process;
DROP TABLE processes;
