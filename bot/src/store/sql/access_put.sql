INSERT INTO access_log (at, source, person_id, what, case_id, action_id, outcome)
VALUES ($1, $2, $3, $4, $5, $6, $7)
ON CONFLICT DO NOTHING
