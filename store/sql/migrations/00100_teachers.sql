-- +goose Up
-- What is kept belongs to a teacher, and numbers and names stand once with each of them. The tables are made anew, for a primary
-- key cannot be changed. What was kept before belongs to teacher 1.
CREATE TABLE teachers (
    id      BIGINT PRIMARY KEY,
    created BIGINT NOT NULL,          -- seconds since 1970, UTC
    changes BIGINT NOT NULL DEFAULT 0 -- counts changes of what she keeps; each begins here, and so they wait for each other
);
INSERT INTO teachers (id, created) VALUES (1, 0);

CREATE TABLE exercises_new (
    teacher  BIGINT NOT NULL REFERENCES teachers (id),
    id       BIGINT NOT NULL,
    name     TEXT   NOT NULL,
    document TEXT   NOT NULL, -- an exercise file
    revision BIGINT NOT NULL, -- counts the saves, so that two writers notice each other
    created  BIGINT NOT NULL,
    changed  BIGINT NOT NULL,
    deleted  BIGINT,          -- when it was deleted; NULL while it is not
    sum      TEXT   NOT NULL, -- SHA-256 of the name and the document
    PRIMARY KEY (teacher, id)
);
INSERT INTO exercises_new (teacher, id, name, document, revision, created, changed, deleted, sum)
    SELECT 1, id, name, document, revision, created, changed, deleted, sum FROM exercises;

CREATE TABLE lessons_new (
    teacher  BIGINT NOT NULL REFERENCES teachers (id),
    id       BIGINT NOT NULL,
    title    TEXT   NOT NULL,
    document TEXT   NOT NULL,
    revision BIGINT NOT NULL,
    changed  BIGINT NOT NULL,
    deleted  BIGINT,
    sum      TEXT   NOT NULL,
    PRIMARY KEY (teacher, id)
);
INSERT INTO lessons_new (teacher, id, title, document, revision, changed, deleted, sum)
    SELECT 1, id, title, document, revision, changed, deleted, sum FROM lessons;

-- The cards that drills are keyed for, by the fingerprint of their hands.
CREATE TABLE drill_cards_new (
    teacher     BIGINT NOT NULL REFERENCES teachers (id),
    fingerprint TEXT   NOT NULL,
    name        TEXT   NOT NULL,
    source      TEXT   NOT NULL, -- a card file
    flowers     BIGINT NOT NULL, -- the set for which it was read
    jokers      BIGINT NOT NULL,
    PRIMARY KEY (teacher, fingerprint)
);
INSERT INTO drill_cards_new (teacher, fingerprint, name, source, flowers, jokers)
    SELECT 1, fingerprint, name, source, flowers, jokers FROM drill_cards;

CREATE TABLE drills_new (
    teacher     BIGINT NOT NULL,
    id          BIGINT NOT NULL,
    fingerprint TEXT   NOT NULL,
    kind        TEXT   NOT NULL,
    position    TEXT   NOT NULL, -- SHA-256 of the position in the document
    document    TEXT   NOT NULL, -- a drill of a drill file, without its rating
    sum         TEXT   NOT NULL,
    rating      DOUBLE PRECISION NOT NULL,
    deviation   DOUBLE PRECISION NOT NULL,
    volatility  DOUBLE PRECISION NOT NULL,
    made        BIGINT NOT NULL, -- when its key was made
    deleted     BIGINT,          -- when it was deleted; tries still tell of it
    PRIMARY KEY (teacher, id),
    FOREIGN KEY (teacher, fingerprint) REFERENCES drill_cards_new (teacher, fingerprint)
);
INSERT INTO drills_new (teacher, id, fingerprint, kind, position, document, sum, rating, deviation, volatility, made, deleted)
    SELECT 1, id, fingerprint, kind, position, document, sum, rating, deviation, volatility, made, deleted FROM drills;

CREATE TABLE students_new (
    teacher    BIGINT NOT NULL REFERENCES teachers (id),
    id         BIGINT NOT NULL,
    name       TEXT   NOT NULL,
    created    BIGINT NOT NULL,
    rating     DOUBLE PRECISION NOT NULL,
    deviation  DOUBLE PRECISION NOT NULL,
    volatility DOUBLE PRECISION NOT NULL,
    token      TEXT   NOT NULL, -- by which a browser of the student is known; empty before there is one
    PRIMARY KEY (teacher, id)
);
INSERT INTO students_new (teacher, id, name, created, rating, deviation, volatility, token)
    SELECT 1, id, name, created, rating, deviation, volatility, token FROM students;

CREATE TABLE tries_new (
    teacher  BIGINT NOT NULL,
    id       BIGINT NOT NULL, -- made by the program, greater for later ones
    student  BIGINT NOT NULL,
    drill    BIGINT,
    at       BIGINT NOT NULL,
    kind     TEXT   NOT NULL,
    about    TEXT   NOT NULL,
    document TEXT   NOT NULL, -- the try: answer, whether right, cost, time taken
    sum      TEXT   NOT NULL,
    PRIMARY KEY (teacher, id),
    FOREIGN KEY (teacher, student) REFERENCES students_new (teacher, id) ON DELETE CASCADE,
    FOREIGN KEY (teacher, drill) REFERENCES drills_new (teacher, id)
);
INSERT INTO tries_new (teacher, id, student, drill, at, kind, about, document, sum)
    SELECT 1, id, student, drill, at, kind, about, document, sum FROM tries;

-- What the scheduler knows of a student and a drill.
CREATE TABLE memories_new (
    teacher    BIGINT NOT NULL,
    student    BIGINT NOT NULL,
    drill      BIGINT NOT NULL,
    stability  DOUBLE PRECISION NOT NULL,
    difficulty DOUBLE PRECISION NOT NULL,
    seen       BIGINT NOT NULL,
    due        BIGINT NOT NULL,
    tries      BIGINT NOT NULL,
    lapses     BIGINT NOT NULL,
    PRIMARY KEY (teacher, student, drill),
    FOREIGN KEY (teacher, student) REFERENCES students_new (teacher, id) ON DELETE CASCADE,
    FOREIGN KEY (teacher, drill) REFERENCES drills_new (teacher, id)
);
INSERT INTO memories_new (teacher, student, drill, stability, difficulty, seen, due, tries, lapses)
    SELECT 1, student, drill, stability, difficulty, seen, due, tries, lapses FROM memories;

-- How the passing of whole exercises ended.
CREATE TABLE charlestons_new (
    teacher    BIGINT NOT NULL,
    student    BIGINT NOT NULL,
    exercise   TEXT   NOT NULL,
    route      TEXT   NOT NULL,
    spare_best BIGINT NOT NULL,
    spare_plan BIGINT NOT NULL,
    at         BIGINT NOT NULL,
    PRIMARY KEY (teacher, student, exercise, route),
    FOREIGN KEY (teacher, student) REFERENCES students_new (teacher, id) ON DELETE CASCADE
);
INSERT INTO charlestons_new (teacher, student, exercise, route, spare_best, spare_plan, at)
    SELECT 1, student, exercise, route, spare_best, spare_plan, at FROM charlestons;

-- Moments of classes are microseconds since 1970, UTC; 0 is none.
CREATE TABLE classes_new (
    teacher  BIGINT NOT NULL REFERENCES teachers (id),
    id       BIGINT NOT NULL,
    code     TEXT   NOT NULL, -- what students type; empty once the class has ended
    link     TEXT   NOT NULL, -- lets in as the code does, too long to be guessed
    secret   TEXT   NOT NULL, -- the teacher's key
    exercise BIGINT,          -- NULL where the class works on a lesson
    mode     TEXT   NOT NULL,
    seconds  BIGINT NOT NULL, -- for each vote; 0 is by hand
    routes   TEXT   NOT NULL, -- letters of the routes that the class walks, a JSON list
    sum      TEXT   NOT NULL, -- SHA-256 of it
    ranking  BIGINT NOT NULL, -- 1 when the class may see it
    opened   BIGINT NOT NULL,
    ended    BIGINT NOT NULL,
    title    TEXT   NOT NULL, -- of the lesson
    lesson   TEXT   NOT NULL, -- as it was when the class was opened, a lesson file; empty for an exercise
    lesson_sum TEXT NOT NULL, -- SHA-256 of it
    PRIMARY KEY (teacher, id),
    FOREIGN KEY (teacher, exercise) REFERENCES exercises_new (teacher, id)
);
INSERT INTO classes_new (teacher, id, code, link, secret, exercise, mode, seconds, routes, sum, ranking, opened, ended, title, lesson, lesson_sum)
    SELECT 1, id, code, link, secret, exercise, mode, seconds, routes, sum, ranking, opened, ended, title, lesson, lesson_sum FROM classes;

CREATE TABLE class_students_new (
    teacher BIGINT NOT NULL,
    class   BIGINT NOT NULL,
    id      BIGINT NOT NULL, -- counts from 1 in each class
    name    TEXT   NOT NULL,
    token   TEXT   NOT NULL, -- by which the phone is known
    sum     TEXT   NOT NULL, -- SHA-256 of the name and the token
    phone   TEXT   NOT NULL, -- by which the phone that joined is known
    joined  BIGINT NOT NULL,
    removed BIGINT NOT NULL DEFAULT 0, -- 1 when the teacher took the student out
    PRIMARY KEY (teacher, class, id),
    FOREIGN KEY (teacher, class) REFERENCES classes_new (teacher, id) ON DELETE CASCADE
);
INSERT INTO class_students_new (teacher, class, id, name, token, sum, phone, joined, removed)
    SELECT 1, class, id, name, token, sum, phone, joined, removed FROM class_students;

CREATE TABLE class_rounds_new (
    teacher   BIGINT NOT NULL,
    class     BIGINT NOT NULL,
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
    question_sum  TEXT NOT NULL,
    follows_sum   TEXT NOT NULL,
    judgement_sum TEXT NOT NULL,
    PRIMARY KEY (teacher, class, n),
    FOREIGN KEY (teacher, class) REFERENCES classes_new (teacher, id) ON DELETE CASCADE
);
INSERT INTO class_rounds_new (teacher, class, n, route, at, question, opened, deadline, closed, count_at, counted, follows, judgement, question_sum, follows_sum, judgement_sum)
    SELECT 1, class, n, route, at, question, opened, deadline, closed, count_at, counted, follows, judgement, question_sum, follows_sum, judgement_sum FROM class_rounds;

-- Every change of a choice, as it was made. Of a student in a round the one with the greatest seq counts.
CREATE TABLE class_votes_new (
    teacher  BIGINT NOT NULL,
    class    BIGINT NOT NULL,
    round    BIGINT NOT NULL, -- in a duplicate class the number of the decision, from 1
    student  BIGINT NOT NULL,
    seq      BIGINT NOT NULL,
    choice   TEXT   NOT NULL,
    sum      TEXT   NOT NULL,
    made     BIGINT NOT NULL,
    received BIGINT NOT NULL,
    PRIMARY KEY (teacher, class, round, student, seq),
    FOREIGN KEY (teacher, class) REFERENCES classes_new (teacher, id) ON DELETE CASCADE
);
INSERT INTO class_votes_new (teacher, class, round, student, seq, choice, sum, made, received)
    SELECT 1, class, round, student, seq, choice, sum, made, received FROM class_votes;

-- Numbers that were given, by teacher and table: none is given again.
CREATE TABLE counters_new (
    teacher BIGINT NOT NULL REFERENCES teachers (id),
    name    TEXT   NOT NULL,
    last    BIGINT NOT NULL,
    PRIMARY KEY (teacher, name)
);
INSERT INTO counters_new (teacher, name, last) SELECT 1, name, last FROM counters WHERE name NOT IN ('tries', 'trials') AND last > 0;

DROP TABLE class_votes;
DROP TABLE class_rounds;
DROP TABLE class_students;
DROP TABLE classes;
DROP TABLE charlestons;
DROP TABLE memories;
DROP TABLE tries;
DROP TABLE students;
DROP TABLE drills;
DROP TABLE drill_cards;
DROP TABLE lessons;
DROP TABLE exercises;
DROP TABLE counters;
ALTER TABLE exercises_new RENAME TO exercises;
ALTER TABLE lessons_new RENAME TO lessons;
ALTER TABLE drill_cards_new RENAME TO drill_cards;
ALTER TABLE drills_new RENAME TO drills;
ALTER TABLE students_new RENAME TO students;
ALTER TABLE tries_new RENAME TO tries;
ALTER TABLE memories_new RENAME TO memories;
ALTER TABLE charlestons_new RENAME TO charlestons;
ALTER TABLE classes_new RENAME TO classes;
ALTER TABLE class_students_new RENAME TO class_students;
ALTER TABLE class_rounds_new RENAME TO class_rounds;
ALTER TABLE class_votes_new RENAME TO class_votes;
ALTER TABLE counters_new RENAME TO counters;

-- Names stand once with a teacher among what is not deleted; codes, links and tokens lead to one place, whoever's it is.
CREATE UNIQUE INDEX exercises_name ON exercises (teacher, name) WHERE deleted IS NULL;
CREATE UNIQUE INDEX lessons_title ON lessons (teacher, title) WHERE deleted IS NULL;
CREATE UNIQUE INDEX students_name ON students (teacher, lower(name));
CREATE UNIQUE INDEX students_token ON students (token) WHERE token <> '';
CREATE UNIQUE INDEX classes_code ON classes (code) WHERE code <> '';
CREATE UNIQUE INDEX class_students_token ON class_students (token);
CREATE INDEX classes_link ON classes (link);
CREATE INDEX drills_position ON drills (teacher, fingerprint, kind, position);
CREATE INDEX drills_card ON drills (teacher, fingerprint, kind);
CREATE INDEX tries_student ON tries (teacher, student, at);
