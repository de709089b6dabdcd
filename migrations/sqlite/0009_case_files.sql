-- Pictures and traces that came with a case's messages: content as base64, or a link that is never
-- fetched. They go with their case, with their message, and by age.
CREATE TABLE case_files (
    seq         INTEGER PRIMARY KEY AUTOINCREMENT,
    id          TEXT NOT NULL UNIQUE,
    case_id     TEXT NOT NULL REFERENCES cases (id) ON DELETE CASCADE,
    source      TEXT NOT NULL,
    person_id   TEXT NOT NULL,
    message_id  TEXT,
    at          BIGINT NOT NULL,
    name        TEXT NOT NULL,
    media_type  TEXT NOT NULL
                    CHECK (media_type IN ('image/png', 'image/jpeg', 'text/csv', 'application/json')),
    size        BIGINT NOT NULL,
    sha256      TEXT NOT NULL,
    width       BIGINT,
    height      BIGINT,
    content     TEXT,
    url         TEXT,
    CHECK ((content IS NULL) <> (url IS NULL))
);
CREATE INDEX case_files_case ON case_files (case_id, seq);
CREATE INDEX case_files_person ON case_files (source, person_id, seq);
CREATE INDEX case_files_message ON case_files (source, message_id) WHERE message_id IS NOT NULL;
CREATE INDEX case_files_age ON case_files (at);

-- The coach who recorded what a parent or guardian said; nothing: the lifter's own step.
ALTER TABLE consents ADD COLUMN recorded_by TEXT;
