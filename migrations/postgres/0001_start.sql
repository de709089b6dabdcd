-- Events from the chat platforms, in the order they came in.
CREATE TABLE inbox (
    seq          BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    source       TEXT NOT NULL,
    id           TEXT NOT NULL,
    type         TEXT NOT NULL,
    room_id      TEXT NOT NULL,
    person_id    TEXT NOT NULL,
    message_id   TEXT,
    body         TEXT NOT NULL,
    body_hash    TEXT NOT NULL,
    received_at  BIGINT NOT NULL,
    state        TEXT NOT NULL DEFAULT 'waiting' CHECK (state IN ('waiting', 'done', 'dead')),
    run_at       BIGINT NOT NULL,
    attempts     BIGINT NOT NULL DEFAULT 0,
    lease_owner  TEXT,
    lease_until  BIGINT,
    fence        BIGINT NOT NULL DEFAULT 0,
    last_error   TEXT,
    finished_at  BIGINT,
    UNIQUE (source, id)
);
-- What a claim walks: unfinished events only, so that its cost does not grow with history.
CREATE INDEX inbox_waiting ON inbox (seq) WHERE state = 'waiting';
CREATE INDEX inbox_room ON inbox (source, room_id, seq) WHERE state = 'waiting';
CREATE INDEX inbox_dead ON inbox (finished_at) WHERE state = 'dead';
-- Finds the message a later event takes back; written when the event is finished, not at intake.
CREATE INDEX inbox_message ON inbox (source, room_id, message_id)
    WHERE state <> 'waiting' AND message_id IS NOT NULL;

-- Signed bodies that could not be read.
CREATE TABLE quarantine (
    source       TEXT NOT NULL,
    id           TEXT NOT NULL,
    body         TEXT NOT NULL,
    reason       TEXT NOT NULL,
    received_at  BIGINT NOT NULL,
    PRIMARY KEY (source, id)
);

CREATE TABLE lifters (
    source         TEXT NOT NULL,
    person_id      TEXT NOT NULL,
    display_name   TEXT NOT NULL,
    zone           TEXT,
    reminders      BOOLEAN NOT NULL,
    has_left       BOOLEAN NOT NULL,
    last_reminder  BIGINT,
    profile        TEXT NOT NULL,
    version        BIGINT NOT NULL,
    PRIMARY KEY (source, person_id)
);

CREATE TABLE cases (
    id         TEXT PRIMARY KEY NOT NULL,
    number     BIGINT NOT NULL UNIQUE,
    source     TEXT NOT NULL,
    person_id  TEXT NOT NULL,
    room_id    TEXT NOT NULL,
    thread_id  TEXT,
    lift       TEXT CHECK (lift IN ('squat', 'bench', 'deadlift')),
    state      TEXT NOT NULL CHECK (state IN
                   ('asking', 'practising', 'with-coach', 'halted', 'mended', 'lapsed', 'withdrawn')),
    opened_at  BIGINT NOT NULL,
    updated_at BIGINT NOT NULL,
    version    BIGINT NOT NULL,
    body       TEXT NOT NULL
);
CREATE INDEX cases_person ON cases (source, person_id, opened_at);

-- History of a case.
CREATE TABLE entries (
    seq         BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    case_id     TEXT NOT NULL REFERENCES cases (id) ON DELETE CASCADE,
    at          BIGINT NOT NULL,
    kind        TEXT NOT NULL CHECK (kind IN ('lifter', 'reply', 'coach', 'reminder', 'change')),
    who         TEXT NOT NULL,
    message_id  TEXT,
    text        TEXT NOT NULL
);
CREATE INDEX entries_case ON entries (case_id, seq);
CREATE INDEX entries_message ON entries (message_id) WHERE message_id IS NOT NULL;

-- What waits for the coach; one row a case, gone when answered.
CREATE TABLE queue (
    case_id       TEXT PRIMARY KEY NOT NULL REFERENCES cases (id) ON DELETE CASCADE,
    urgency       BIGINT NOT NULL CHECK (urgency BETWEEN 0 AND 3),
    reasons       TEXT NOT NULL,
    since         BIGINT NOT NULL,
    promised      BIGINT,
    minutes       BIGINT NOT NULL,
    taken_source  TEXT,
    taken_person  TEXT,
    taken_until   BIGINT
);

-- Dated asks.
CREATE TABLE follow_ups (
    id           TEXT PRIMARY KEY NOT NULL,
    case_id      TEXT NOT NULL REFERENCES cases (id) ON DELETE CASCADE,
    source       TEXT NOT NULL,
    person_id    TEXT NOT NULL,
    kind         TEXT NOT NULL CHECK (kind IN ('resubmit', 'answer', 'page-coach')),
    due_at       BIGINT NOT NULL,
    sent         BIGINT NOT NULL,
    created_at   BIGINT NOT NULL,
    state        TEXT NOT NULL DEFAULT 'open' CHECK (state IN ('open', 'done', 'dead', 'cancelled')),
    run_at       BIGINT NOT NULL,
    attempts     BIGINT NOT NULL DEFAULT 0,
    lease_owner  TEXT,
    lease_until  BIGINT,
    fence        BIGINT NOT NULL DEFAULT 0,
    last_error   TEXT,
    finished_at  BIGINT
);
CREATE INDEX follow_ups_due ON follow_ups (run_at) WHERE state = 'open';
CREATE INDEX follow_ups_case ON follow_ups (case_id) WHERE state = 'open';
CREATE INDEX follow_ups_person ON follow_ups (source, person_id) WHERE state = 'open';
CREATE INDEX follow_ups_dead ON follow_ups (finished_at) WHERE state = 'dead';

-- Messages to the chat platforms, in the order they were decided.
CREATE TABLE outbox (
    seq                  BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    key                  TEXT NOT NULL UNIQUE,
    source               TEXT NOT NULL,
    room_key             TEXT NOT NULL,
    purpose              TEXT NOT NULL CHECK (purpose IN ('reply', 'coach', 'reminder', 'alert')),
    case_id              TEXT,
    person_id            TEXT,
    body                 TEXT NOT NULL,
    created_at           BIGINT NOT NULL,
    state                TEXT NOT NULL DEFAULT 'ready'
                             CHECK (state IN ('ready', 'sent', 'dead', 'withdrawn')),
    run_at               BIGINT NOT NULL,
    attempts             BIGINT NOT NULL DEFAULT 0,
    lease_owner          TEXT,
    lease_until          BIGINT,
    fence                BIGINT NOT NULL DEFAULT 0,
    last_error           TEXT,
    finished_at          BIGINT,
    platform_message_id  TEXT
);
CREATE INDEX outbox_ready ON outbox (seq) WHERE state = 'ready';
CREATE INDEX outbox_room ON outbox (source, room_key, seq) WHERE state = 'ready';
CREATE INDEX outbox_case ON outbox (case_id) WHERE state IN ('ready', 'dead');
CREATE INDEX outbox_reminders ON outbox (source, person_id)
    WHERE state = 'ready' AND purpose = 'reminder';
CREATE INDEX outbox_dead ON outbox (finished_at) WHERE state = 'dead';
CREATE INDEX outbox_platform ON outbox (source, platform_message_id)
    WHERE platform_message_id IS NOT NULL;

-- Newest known version of a platform's message.
CREATE TABLE message_marks (
    source      TEXT NOT NULL,
    room_id     TEXT NOT NULL,
    message_id  TEXT NOT NULL,
    version     BIGINT NOT NULL,
    deleted     BOOLEAN NOT NULL,
    PRIMARY KEY (source, room_id, message_id)
);

-- Numbers that only go up.
CREATE TABLE counters (
    name   TEXT PRIMARY KEY NOT NULL,
    value  BIGINT NOT NULL
);
INSERT INTO counters (name, value) VALUES ('case-number', 0);
