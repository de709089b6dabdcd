INSERT INTO consents (source, person_id, purpose, step, at, how, event_id, text_version, text, recorded_by)
VALUES ($1, $2, 'health', $3, $4, $5, $6, $7, $8, $9)
