-- +goose Up
-- SHA-256 of the name and the document, or of the document where there is no name: a byte that the disk has changed would
-- often leave a document that can be read, and says something else. The next migration fills them.
ALTER TABLE exercises ADD COLUMN sum TEXT NOT NULL DEFAULT '';
ALTER TABLE lessons ADD COLUMN sum TEXT NOT NULL DEFAULT '';
ALTER TABLE drills ADD COLUMN sum TEXT NOT NULL DEFAULT '';
ALTER TABLE tries ADD COLUMN sum TEXT NOT NULL DEFAULT '';

-- +goose Down
ALTER TABLE tries DROP COLUMN sum;
ALTER TABLE drills DROP COLUMN sum;
ALTER TABLE lessons DROP COLUMN sum;
ALTER TABLE exercises DROP COLUMN sum;
