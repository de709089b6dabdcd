SELECT purpose, step, at, how, event_id, text_version, text, recorded_by
FROM consents WHERE source = $1 AND person_id = $2 ORDER BY seq LIMIT $3
