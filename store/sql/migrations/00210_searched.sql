-- +goose Up
-- What exercises are looked for by, out of their documents; the next migration fills it.
ALTER TABLE exercises ADD COLUMN card TEXT NOT NULL DEFAULT ''; -- its name
ALTER TABLE exercises ADD COLUMN deal TEXT NOT NULL DEFAULT ''; -- the tiles
ALTER TABLE exercises ADD COLUMN aims TEXT NOT NULL DEFAULT ''; -- names of sections and hands, one a line

-- +goose Down
ALTER TABLE exercises DROP COLUMN aims;
ALTER TABLE exercises DROP COLUMN deal;
ALTER TABLE exercises DROP COLUMN card;
