-- What the house keeps about itself. The salt goes into suppression ids, so that a list of them says
-- nothing about people to whoever does not have it.
CREATE TABLE house (
    name   TEXT PRIMARY KEY NOT NULL,
    value  TEXT NOT NULL
);
INSERT INTO house (name, value) VALUES ('suppression-salt', replace(gen_random_uuid()::TEXT || gen_random_uuid()::TEXT, '-', ''));

-- Work that comes round by the clock: when it is next due.
CREATE TABLE chores (
    name    TEXT PRIMARY KEY NOT NULL,
    run_at  BIGINT NOT NULL
);
INSERT INTO chores (name, run_at) VALUES ('clean', 0);

-- What a lifter was asked about keeping words on health, and what they answered.
CREATE TABLE consents (
    seq           BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    source        TEXT NOT NULL,
    person_id     TEXT NOT NULL,
    purpose       TEXT NOT NULL CHECK (purpose IN ('health')),
    step          TEXT NOT NULL CHECK (step IN ('asked', 'yes', 'no', 'withdrawn')),
    at            BIGINT NOT NULL,
    how           TEXT NOT NULL CHECK (how IN ('cueline', 'button', 'words')),
    event_id      TEXT NOT NULL,
    text_version  TEXT NOT NULL,
    text          TEXT
);
CREATE INDEX consents_person ON consents (source, person_id, seq);

-- Lifters who were forgotten: a salted hash, and until when what they wrote is not taken any more.
CREATE TABLE suppressed (
    id         TEXT PRIMARY KEY NOT NULL,
    erased_at  BIGINT NOT NULL
);

-- Links to a copy of a lifter's data: only the hash of the key is kept.
CREATE TABLE data_links (
    token_hash  TEXT PRIMARY KEY NOT NULL,
    source      TEXT NOT NULL,
    person_id   TEXT NOT NULL,
    created_at  BIGINT NOT NULL,
    expires_at  BIGINT NOT NULL,
    uses_left   BIGINT NOT NULL CHECK (uses_left >= 0)
);
CREATE INDEX data_links_person ON data_links (source, person_id);
CREATE INDEX data_links_expiry ON data_links (expires_at);

-- What a message leaves behind once it is out: nothing here means all of it.
ALTER TABLE outbox ADD COLUMN after_body TEXT;
ALTER TABLE message_marks ADD COLUMN marked_at BIGINT;
-- How far a case has been trimmed by age: 0 not, 1 clips, 2 words, 3 flags.
ALTER TABLE cases ADD COLUMN trimmed BIGINT NOT NULL DEFAULT 0;

-- What belongs to one person, and what has grown old. Written when an event or a message is
-- finished, not at intake.
CREATE INDEX inbox_person ON inbox (source, person_id) WHERE state <> 'waiting';
CREATE INDEX inbox_finished ON inbox (finished_at) WHERE state <> 'waiting';
CREATE INDEX outbox_person ON outbox (source, person_id) WHERE person_id IS NOT NULL;
CREATE INDEX outbox_finished ON outbox (finished_at) WHERE state <> 'ready';
CREATE INDEX cases_trimmed ON cases (trimmed, updated_at);
CREATE INDEX cases_updated ON cases (updated_at);
CREATE INDEX follow_ups_of_case ON follow_ups (case_id);
CREATE INDEX message_marks_age ON message_marks (marked_at);
CREATE INDEX quarantine_age ON quarantine (received_at);
