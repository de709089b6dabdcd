-- A later verdict on the same set takes the place of the former.
INSERT INTO verdicts (case_id, event_id, at, coach_source, coach_person, edition, body)
VALUES ($1, $2, $3, $4, $5, $6, $7)
ON CONFLICT (case_id, event_id) DO UPDATE SET
    at = excluded.at,
    coach_source = excluded.coach_source,
    coach_person = excluded.coach_person,
    edition = excluded.edition,
    body = excluded.body
