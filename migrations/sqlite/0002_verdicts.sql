-- What coaches say is behind a set: one verdict a set, gone with its case.
CREATE TABLE verdicts (
    case_id       TEXT NOT NULL REFERENCES cases (id) ON DELETE CASCADE,
    event_id      TEXT NOT NULL,
    at            BIGINT NOT NULL,
    coach_source  TEXT NOT NULL,
    coach_person  TEXT NOT NULL,
    edition       TEXT NOT NULL,
    body          TEXT NOT NULL,
    PRIMARY KEY (case_id, event_id)
);
CREATE INDEX verdicts_at ON verdicts (at);
