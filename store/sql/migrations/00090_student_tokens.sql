-- +goose Up
ALTER TABLE students ADD COLUMN token TEXT NOT NULL DEFAULT ''; -- by which a browser of the student is known; empty before there is one
CREATE UNIQUE INDEX students_token ON students (token) WHERE token <> '';

-- +goose Down
DROP INDEX students_token;
ALTER TABLE students DROP COLUMN token;
