-- +goose Up
CREATE TABLE lessons (
    id       BIGINT PRIMARY KEY,
    title    TEXT NOT NULL,
    document TEXT NOT NULL,
    revision BIGINT NOT NULL,
    changed  BIGINT NOT NULL,
    deleted  BIGINT
);
CREATE UNIQUE INDEX lessons_title ON lessons (title) WHERE deleted IS NULL;

-- +goose Down
DROP TABLE lessons;
