-- +goose Up
-- Moments are microseconds since 1970, UTC; 0 is none.
CREATE TABLE classes (
    id       BIGINT PRIMARY KEY,
    code     TEXT   NOT NULL, -- what students type; empty once the class has ended
    secret   TEXT   NOT NULL, -- the teacher's key
    exercise BIGINT NOT NULL REFERENCES exercises (id),
    mode     TEXT   NOT NULL,
    seconds  BIGINT NOT NULL, -- for each vote; 0 is by hand
    routes   TEXT   NOT NULL, -- names of the routes that the class walks, a JSON list
    ranking  BIGINT NOT NULL, -- 1 when the class may see it
    opened   BIGINT NOT NULL,
    ended    BIGINT NOT NULL
);

CREATE UNIQUE INDEX classes_code ON classes (code) WHERE code <> '';

CREATE TABLE class_students (
    class  BIGINT NOT NULL REFERENCES classes (id) ON DELETE CASCADE,
    id     BIGINT NOT NULL, -- counts from 1 in each class
    name   TEXT   NOT NULL,
    token  TEXT   NOT NULL, -- by which the phone is known
    joined BIGINT NOT NULL,
    PRIMARY KEY (class, id)
);

CREATE UNIQUE INDEX class_students_token ON class_students (token);

CREATE TABLE class_rounds (
    class     BIGINT NOT NULL REFERENCES classes (id) ON DELETE CASCADE,
    n         BIGINT NOT NULL, -- counts from 1 in each class
    route     TEXT   NOT NULL,
    at        BIGINT NOT NULL, -- decisions of the route before it
    question  TEXT   NOT NULL,
    opened    BIGINT NOT NULL,
    deadline  BIGINT NOT NULL,
    closed    BIGINT NOT NULL,
    count_at  BIGINT NOT NULL,
    counted   BIGINT NOT NULL,
    follows   TEXT   NOT NULL,
    judgement TEXT   NOT NULL, -- empty where nobody asked
    PRIMARY KEY (class, n)
);

-- Every change of a choice, as it was made. Of a student in a round the one with the greatest seq counts.
CREATE TABLE class_votes (
    class    BIGINT NOT NULL REFERENCES classes (id) ON DELETE CASCADE,
    round    BIGINT NOT NULL, -- in a duplicate class the number of the decision, from 1
    student  BIGINT NOT NULL,
    seq      BIGINT NOT NULL,
    choice   TEXT   NOT NULL,
    made     BIGINT NOT NULL,
    received BIGINT NOT NULL,
    PRIMARY KEY (class, round, student, seq)
);

-- +goose Down
DROP TABLE class_votes;
DROP TABLE class_rounds;
DROP TABLE class_students;
DROP TABLE classes;
