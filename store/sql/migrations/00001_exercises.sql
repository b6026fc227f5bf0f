-- +goose Up
CREATE TABLE exercises (
    id       BIGINT PRIMARY KEY,
    name     TEXT   NOT NULL,
    document TEXT   NOT NULL, -- an exercise file
    revision BIGINT NOT NULL, -- counts the saves, so that two writers notice each other
    created  BIGINT NOT NULL, -- seconds since 1970, UTC
    changed  BIGINT NOT NULL,
    deleted  BIGINT           -- when it was deleted; NULL while it is not
);

-- A name stands once among the exercises that are not deleted.
CREATE UNIQUE INDEX exercises_name ON exercises (name) WHERE deleted IS NULL;

-- +goose Down
DROP TABLE exercises;
