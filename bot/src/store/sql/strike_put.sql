-- One strike an event.
INSERT INTO strikes
    (source, person_id, cause_id, at, step, until_at, rule, why, challenge, given_by, state)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)
ON CONFLICT DO NOTHING
