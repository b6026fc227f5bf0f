-- +goose Up
-- Copies of what a workbook has given to the others of a club.
CREATE TABLE shelf (
    id            BIGINT PRIMARY KEY,
    sort          TEXT   NOT NULL,
    name          TEXT   NOT NULL,
    remark        TEXT   NOT NULL,
    from_workbook BIGINT NOT NULL,
    for_workbook  BIGINT NOT NULL, -- 0 for all
    by_whom       TEXT   NOT NULL,
    at            BIGINT NOT NULL, -- microseconds since 1970, UTC
    file          TEXT   NOT NULL
);

CREATE INDEX shelf_from ON shelf (from_workbook);

-- +goose Down
DROP TABLE shelf;
