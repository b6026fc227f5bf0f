-- +goose Up
-- How long cores have worked for a teacher's simulations, by day.
CREATE TABLE work_days (
    teacher BIGINT NOT NULL REFERENCES teachers (id),
    day     BIGINT NOT NULL, -- days since 1970
    micros  BIGINT NOT NULL,
    PRIMARY KEY (teacher, day)
);

-- +goose Down
DROP TABLE work_days;
