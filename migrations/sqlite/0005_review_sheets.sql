-- Review sheets that were drawn up, so that the next one knows what was put off.
CREATE TABLE sheets (
    id         TEXT PRIMARY KEY NOT NULL,
    source     TEXT NOT NULL,
    person_id  TEXT NOT NULL,
    made_at    BIGINT NOT NULL,
    minutes    BIGINT NOT NULL
);

CREATE TABLE sheet_cases (
    sheet_id  TEXT NOT NULL REFERENCES sheets (id) ON DELETE CASCADE,
    case_id   TEXT NOT NULL REFERENCES cases (id) ON DELETE CASCADE,
    place     BIGINT NOT NULL,
    made_at   BIGINT NOT NULL,
    PRIMARY KEY (sheet_id, case_id)
);
CREATE INDEX sheet_cases_case ON sheet_cases (case_id, made_at);

-- Cases answered lately, newest first, for the sheet.
CREATE INDEX cases_answered ON cases (source, updated_at) WHERE state IN ('practising', 'mended');
