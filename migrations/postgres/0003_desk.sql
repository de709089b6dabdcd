-- The coach's desk: links to sign in with, sessions, and who saw and did what.
-- Of links and sessions only the SHA-256 of their secret is kept.
CREATE TABLE sign_in_links (
    hash        TEXT PRIMARY KEY NOT NULL,
    source      TEXT NOT NULL,
    person_id   TEXT NOT NULL,
    created_at  BIGINT NOT NULL,
    expires_at  BIGINT NOT NULL,
    used_at     BIGINT
);
CREATE INDEX sign_in_links_person ON sign_in_links (source, person_id, created_at);
CREATE INDEX sign_in_links_expired ON sign_in_links (expires_at);

CREATE TABLE sessions (
    hash        TEXT PRIMARY KEY NOT NULL,
    source      TEXT NOT NULL,
    person_id   TEXT NOT NULL,
    created_at  BIGINT NOT NULL,
    seen_at     BIGINT NOT NULL,
    ends_at     BIGINT NOT NULL
);
CREATE INDEX sessions_ended ON sessions (ends_at);

-- One row a view or action at the desk. An action has an id, and its row is written together with
-- what it changed, so that it is done and noted once.
CREATE TABLE access_log (
    seq        BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    at         BIGINT NOT NULL,
    source     TEXT NOT NULL,
    person_id  TEXT NOT NULL,
    what       TEXT NOT NULL,
    case_id    TEXT,
    action_id  TEXT,
    outcome    TEXT
);
CREATE UNIQUE INDEX access_log_action ON access_log (source, action_id) WHERE action_id IS NOT NULL;
CREATE INDEX access_log_case ON access_log (case_id, seq) WHERE case_id IS NOT NULL;

-- Recent cases of a platform, newest first; the queue in the order of its columns.
CREATE INDEX cases_recent ON cases (source, number);
CREATE INDEX queue_order ON queue (urgency, promised, since, minutes, case_id);
