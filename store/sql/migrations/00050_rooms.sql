-- +goose Up
ALTER TABLE classes ADD COLUMN link TEXT NOT NULL DEFAULT ''; -- lets in as the code does, too long to be guessed
ALTER TABLE class_students ADD COLUMN phone TEXT NOT NULL DEFAULT ''; -- by which the phone that joined is known
ALTER TABLE class_students ADD COLUMN removed BIGINT NOT NULL DEFAULT 0; -- 1 when the teacher took the student out

-- +goose Down
ALTER TABLE class_students DROP COLUMN removed;
ALTER TABLE class_students DROP COLUMN phone;
ALTER TABLE classes DROP COLUMN link;
