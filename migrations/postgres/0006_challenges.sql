-- Cases put to the community. Gone with their case, and their answers with them.
CREATE TABLE challenges (
    number        BIGINT PRIMARY KEY NOT NULL,
    id            TEXT NOT NULL UNIQUE,
    case_id       TEXT NOT NULL REFERENCES cases (id) ON DELETE CASCADE,
    event_id      TEXT NOT NULL,
    source        TEXT NOT NULL,
    person_id     TEXT NOT NULL,
    coach_person  TEXT NOT NULL,
    lift          TEXT NOT NULL CHECK (lift IN ('squat', 'bench', 'deadlift')),
    room_id       TEXT NOT NULL,
    state         TEXT NOT NULL CHECK (state IN ('asked', 'open', 'closed', 'revealed', 'withdrawn')),
    opened_at     BIGINT NOT NULL,
    closes_at     BIGINT NOT NULL,
    sealed        TEXT NOT NULL,
    body          TEXT NOT NULL,
    version       BIGINT NOT NULL,
    run_at        BIGINT,
    attempts      BIGINT NOT NULL DEFAULT 0,
    lease_owner   TEXT,
    lease_until   BIGINT,
    fence         BIGINT NOT NULL DEFAULT 0,
    last_error    TEXT
);
CREATE INDEX challenges_due ON challenges (run_at) WHERE run_at IS NOT NULL;
CREATE INDEX challenges_live ON challenges (source, closes_at)
    WHERE state IN ('asked', 'open', 'closed');
CREATE INDEX challenges_person ON challenges (source, person_id);
CREATE INDEX challenges_case ON challenges (case_id);
CREATE INDEX challenges_season ON challenges (source, closes_at);

-- What members answer: one answer a member and challenge. Points are thousandths.
CREATE TABLE challenge_answers (
    challenge   BIGINT NOT NULL REFERENCES challenges (number) ON DELETE CASCADE,
    source      TEXT NOT NULL,
    person_id   TEXT NOT NULL,
    at          BIGINT NOT NULL,
    edits       BIGINT NOT NULL,
    state       TEXT NOT NULL CHECK (state IN ('taken', 'held', 'withdrawn')),
    message_id  TEXT,
    why         TEXT NOT NULL,
    body        TEXT NOT NULL,
    mark        TEXT,
    points      BIGINT,
    PRIMARY KEY (challenge, source, person_id)
);
CREATE INDEX challenge_answers_person ON challenge_answers (source, person_id);
CREATE INDEX challenge_answers_message ON challenge_answers (source, message_id)
    WHERE message_id IS NOT NULL;

-- Members who are not named in the standing.
CREATE TABLE standing_hidden (
    source     TEXT NOT NULL,
    person_id  TEXT NOT NULL,
    PRIMARY KEY (source, person_id)
);

INSERT INTO counters (name, value) VALUES ('challenge-number', 0);
