INSERT INTO consents (source, person_id, purpose, step, at, how, event_id, text_version, text)
VALUES ($1, $2, 'health', $3, $4, $5, $6, $7, $8)
