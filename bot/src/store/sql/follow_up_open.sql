INSERT INTO follow_ups (id, case_id, source, person_id, kind, due_at, sent, created_at, run_at)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $6)
ON CONFLICT (id) DO NOTHING
