-- What members are told when advice of theirs had to be removed; never what they wrote.
CREATE TABLE strikes (
    source      TEXT NOT NULL,
    person_id   TEXT NOT NULL,
    cause_id    TEXT NOT NULL,
    at          BIGINT NOT NULL,
    step        TEXT NOT NULL CHECK (step IN ('warning', 'week', 'out')),
    until_at    BIGINT,
    rule        TEXT NOT NULL,
    why         TEXT NOT NULL,
    challenge   BIGINT,
    given_by    TEXT,
    state       TEXT NOT NULL CHECK (state IN ('given', 'appealed', 'kept', 'taken-back')),
    PRIMARY KEY (source, person_id, cause_id)
);
CREATE INDEX strikes_newest ON strikes (source, at);
CREATE INDEX strikes_old ON strikes (at);
