-- +goose Up
-- SHA-256 as of exercises: of the routes of a class, of the name and token of a student, of the documents of a vote and of each
-- answer. The next migration fills them.
ALTER TABLE classes ADD COLUMN sum TEXT NOT NULL DEFAULT '';
ALTER TABLE class_students ADD COLUMN sum TEXT NOT NULL DEFAULT '';
ALTER TABLE class_rounds ADD COLUMN question_sum TEXT NOT NULL DEFAULT '';
ALTER TABLE class_rounds ADD COLUMN follows_sum TEXT NOT NULL DEFAULT '';
ALTER TABLE class_rounds ADD COLUMN judgement_sum TEXT NOT NULL DEFAULT '';
ALTER TABLE class_votes ADD COLUMN sum TEXT NOT NULL DEFAULT '';

-- +goose Down
ALTER TABLE class_votes DROP COLUMN sum;
ALTER TABLE class_rounds DROP COLUMN judgement_sum;
ALTER TABLE class_rounds DROP COLUMN follows_sum;
ALTER TABLE class_rounds DROP COLUMN question_sum;
ALTER TABLE class_students DROP COLUMN sum;
ALTER TABLE classes DROP COLUMN sum;
