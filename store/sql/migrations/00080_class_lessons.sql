-- +goose Up
-- A class works on an exercise or on a lesson of its own. The tables are made anew, for a column cannot lose what it refers to.
CREATE TABLE classes_new (
    id       BIGINT PRIMARY KEY,
    code     TEXT   NOT NULL, -- what students type; empty once the class has ended
    secret   TEXT   NOT NULL, -- the teacher's key
    exercise BIGINT REFERENCES exercises (id), -- NULL where the class works on a lesson
    mode     TEXT   NOT NULL,
    seconds  BIGINT NOT NULL, -- for each vote; 0 is by hand
    routes   TEXT   NOT NULL, -- letters of the routes that the class walks, a JSON list
    ranking  BIGINT NOT NULL, -- 1 when the class may see it
    opened   BIGINT NOT NULL,
    ended    BIGINT NOT NULL,
    link     TEXT   NOT NULL DEFAULT '',
    sum      TEXT   NOT NULL DEFAULT '',
    title    TEXT   NOT NULL DEFAULT '', -- of the lesson
    lesson   TEXT   NOT NULL DEFAULT '', -- as it was when the class was opened, a lesson file; empty for an exercise
    lesson_sum TEXT NOT NULL DEFAULT ''  -- SHA-256 of it
);
INSERT INTO classes_new (id, code, secret, exercise, mode, seconds, routes, ranking, opened, ended, link, sum)
    SELECT id, code, secret, exercise, mode, seconds, routes, ranking, opened, ended, link, sum FROM classes;

CREATE TABLE class_students_new (
    class  BIGINT NOT NULL REFERENCES classes_new (id) ON DELETE CASCADE,
    id     BIGINT NOT NULL, -- counts from 1 in each class
    name   TEXT   NOT NULL,
    token  TEXT   NOT NULL, -- by which the phone is known
    joined BIGINT NOT NULL,
    phone   TEXT   NOT NULL DEFAULT '',
    removed BIGINT NOT NULL DEFAULT 0,
    sum     TEXT   NOT NULL DEFAULT '',
    PRIMARY KEY (class, id)
);
INSERT INTO class_students_new (class, id, name, token, joined, phone, removed, sum)
    SELECT class, id, name, token, joined, phone, removed, sum FROM class_students;

CREATE TABLE class_rounds_new (
    class     BIGINT NOT NULL REFERENCES classes_new (id) ON DELETE CASCADE,
    n         BIGINT NOT NULL, -- counts from 1 in each class
    route     TEXT   NOT NULL,
    at        BIGINT NOT NULL, -- decisions of the route before it; of a lesson the item, from 0
    question  TEXT   NOT NULL,
    opened    BIGINT NOT NULL,
    deadline  BIGINT NOT NULL,
    closed    BIGINT NOT NULL,
    count_at  BIGINT NOT NULL,
    counted   BIGINT NOT NULL,
    follows   TEXT   NOT NULL,
    judgement TEXT   NOT NULL, -- empty where nobody asked
    question_sum  TEXT NOT NULL DEFAULT '',
    follows_sum   TEXT NOT NULL DEFAULT '',
    judgement_sum TEXT NOT NULL DEFAULT '',
    PRIMARY KEY (class, n)
);
INSERT INTO class_rounds_new (class, n, route, at, question, opened, deadline, closed, count_at, counted, follows, judgement, question_sum, follows_sum, judgement_sum)
    SELECT class, n, route, at, question, opened, deadline, closed, count_at, counted, follows, judgement, question_sum, follows_sum, judgement_sum FROM class_rounds;

CREATE TABLE class_votes_new (
    class    BIGINT NOT NULL REFERENCES classes_new (id) ON DELETE CASCADE,
    round    BIGINT NOT NULL, -- in a duplicate class the number of the decision, from 1
    student  BIGINT NOT NULL,
    seq      BIGINT NOT NULL,
    choice   TEXT   NOT NULL,
    made     BIGINT NOT NULL,
    received BIGINT NOT NULL,
    sum      TEXT   NOT NULL DEFAULT '',
    PRIMARY KEY (class, round, student, seq)
);
INSERT INTO class_votes_new (class, round, student, seq, choice, made, received, sum)
    SELECT class, round, student, seq, choice, made, received, sum FROM class_votes;

DROP TABLE class_votes;
DROP TABLE class_rounds;
DROP TABLE class_students;
DROP TABLE classes;
ALTER TABLE classes_new RENAME TO classes;
ALTER TABLE class_students_new RENAME TO class_students;
ALTER TABLE class_rounds_new RENAME TO class_rounds;
ALTER TABLE class_votes_new RENAME TO class_votes;
CREATE UNIQUE INDEX classes_code ON classes (code) WHERE code <> '';
CREATE UNIQUE INDEX class_students_token ON class_students (token);

-- +goose Down
DELETE FROM classes WHERE lesson <> '';
ALTER TABLE classes DROP COLUMN lesson_sum;
ALTER TABLE classes DROP COLUMN lesson;
ALTER TABLE classes DROP COLUMN title;
