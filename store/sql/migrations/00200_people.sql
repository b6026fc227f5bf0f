-- +goose Up
-- The people of a club who sign in. A data folder of one teacher has none.
CREATE TABLE people (
    id       BIGINT PRIMARY KEY,
    role     TEXT   NOT NULL,
    name     TEXT   NOT NULL,
    workbook BIGINT NOT NULL, -- the teacher in whose workbook the person works
    joined   BIGINT NOT NULL  -- moments are microseconds since 1970, UTC; 0 is none
);

CREATE TABLE passkeys (
    id         TEXT   PRIMARY KEY, -- what the browser calls it
    person     BIGINT NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    name       TEXT   NOT NULL,
    credential TEXT   NOT NULL,
    made       BIGINT NOT NULL,
    used       BIGINT NOT NULL
);

CREATE INDEX passkeys_person ON passkeys (person);

-- Of secrets hashes are kept alone.
CREATE TABLE recovery_codes (
    hash   TEXT   PRIMARY KEY,
    person BIGINT NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    used   BIGINT NOT NULL
);

CREATE INDEX recovery_codes_person ON recovery_codes (person);

CREATE TABLE invitations (
    hash     TEXT   PRIMARY KEY,
    id       BIGINT NOT NULL UNIQUE,
    role     TEXT   NOT NULL,
    name     TEXT   NOT NULL,
    workbook BIGINT NOT NULL, -- in which an assistant is to work; 0 for a new one
    person   BIGINT NOT NULL, -- whom it lets in again; 0 for somebody new
    by_whom  BIGINT NOT NULL, -- 0 for the command line
    made     BIGINT NOT NULL,
    expires  BIGINT NOT NULL,
    used     BIGINT NOT NULL
);

CREATE TABLE sessions (
    hash    TEXT   PRIMARY KEY,
    person  BIGINT NOT NULL REFERENCES people (id) ON DELETE CASCADE,
    data    TEXT   NOT NULL, -- base64
    began   BIGINT NOT NULL,
    expires BIGINT NOT NULL
);

CREATE INDEX sessions_person ON sessions (person);

-- What a browser was asked while somebody signs in.
CREATE TABLE ceremonies (
    hash    TEXT   PRIMARY KEY,
    data    TEXT   NOT NULL, -- base64
    expires BIGINT NOT NULL
);

-- What was done about people; names, so that it tells of those who have left too.
CREATE TABLE deeds (
    id    BIGINT PRIMARY KEY,
    at    BIGINT NOT NULL,
    who   TEXT   NOT NULL,
    deed  TEXT   NOT NULL,
    about TEXT   NOT NULL
);

CREATE INDEX deeds_at ON deeds (at);

-- +goose Down
DROP TABLE deeds;
DROP TABLE ceremonies;
DROP TABLE sessions;
DROP TABLE invitations;
DROP TABLE recovery_codes;
DROP TABLE passkeys;
DROP TABLE people;
