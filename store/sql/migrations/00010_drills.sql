-- +goose Up
-- The cards that drills are keyed for, by the fingerprint of their hands.
CREATE TABLE drill_cards (
    fingerprint TEXT PRIMARY KEY,
    name        TEXT NOT NULL,
    source      TEXT NOT NULL, -- a card file
    flowers     BIGINT NOT NULL, -- the set for which it was read
    jokers      BIGINT NOT NULL
);

CREATE TABLE drills (
    id          BIGINT PRIMARY KEY,
    fingerprint TEXT   NOT NULL REFERENCES drill_cards (fingerprint),
    kind        TEXT   NOT NULL,
    document    TEXT   NOT NULL, -- a drill of a drill file, without its rating
    rating      DOUBLE PRECISION NOT NULL,
    deviation   DOUBLE PRECISION NOT NULL,
    volatility  DOUBLE PRECISION NOT NULL,
    made        BIGINT NOT NULL, -- when its key was made
    deleted     BIGINT           -- when it was deleted; tries still tell of it
);

CREATE INDEX drills_card ON drills (fingerprint, kind);

CREATE TABLE students (
    id         BIGINT PRIMARY KEY,
    name       TEXT   NOT NULL,
    created    BIGINT NOT NULL,
    rating     DOUBLE PRECISION NOT NULL,
    deviation  DOUBLE PRECISION NOT NULL,
    volatility DOUBLE PRECISION NOT NULL
);

CREATE UNIQUE INDEX students_name ON students (lower(name));

CREATE TABLE tries (
    id       BIGINT PRIMARY KEY,
    student  BIGINT NOT NULL REFERENCES students (id) ON DELETE CASCADE,
    drill    BIGINT REFERENCES drills (id),
    at       BIGINT NOT NULL,
    document TEXT   NOT NULL -- the try: answer, whether right, cost, time taken
);

CREATE INDEX tries_student ON tries (student, at);

-- What the scheduler knows of a student and a drill.
CREATE TABLE memories (
    student    BIGINT NOT NULL REFERENCES students (id) ON DELETE CASCADE,
    drill      BIGINT NOT NULL REFERENCES drills (id),
    stability  DOUBLE PRECISION NOT NULL,
    difficulty DOUBLE PRECISION NOT NULL,
    seen       BIGINT NOT NULL,
    due        BIGINT NOT NULL,
    tries      BIGINT NOT NULL,
    lapses     BIGINT NOT NULL,
    PRIMARY KEY (student, drill)
);

-- How the passing of whole exercises ended.
CREATE TABLE charlestons (
    student    BIGINT NOT NULL REFERENCES students (id) ON DELETE CASCADE,
    exercise   TEXT   NOT NULL,
    route      TEXT   NOT NULL,
    spare_best BIGINT NOT NULL,
    spare_plan BIGINT NOT NULL,
    at         BIGINT NOT NULL,
    PRIMARY KEY (student, exercise, route)
);

-- +goose Down
DROP TABLE charlestons;
DROP TABLE memories;
DROP TABLE tries;
DROP TABLE students;
DROP TABLE drills;
DROP TABLE drill_cards;
