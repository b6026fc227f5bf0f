-- +goose Up
-- Numbers that were given, by table: none is given again.
CREATE TABLE counters (
    name TEXT   PRIMARY KEY,
    last BIGINT NOT NULL
);

INSERT INTO counters (name, last) SELECT 'exercises', COALESCE(MAX(id), 0) FROM exercises;
INSERT INTO counters (name, last) SELECT 'drills', COALESCE(MAX(id), 0) FROM drills;
INSERT INTO counters (name, last) SELECT 'students', COALESCE(MAX(id), 0) FROM students;
INSERT INTO counters (name, last) SELECT 'tries', COALESCE(MAX(id), 0) FROM tries;
INSERT INTO counters (name, last) SELECT 'lessons', COALESCE(MAX(id), 0) FROM lessons;
INSERT INTO counters (name, last) SELECT 'classes', COALESCE(MAX(id), 0) FROM classes;

-- The next migration fills these from the documents.
ALTER TABLE drills ADD COLUMN position TEXT NOT NULL DEFAULT ''; -- SHA-256 of the position in the document
ALTER TABLE tries ADD COLUMN kind TEXT NOT NULL DEFAULT '';
ALTER TABLE tries ADD COLUMN about TEXT NOT NULL DEFAULT '';

CREATE INDEX drills_position ON drills (fingerprint, kind, position);

-- +goose Down
DROP INDEX drills_position;
ALTER TABLE tries DROP COLUMN about;
ALTER TABLE tries DROP COLUMN kind;
ALTER TABLE drills DROP COLUMN position;
DROP TABLE counters;
