-- $8 now
INSERT INTO outbox (key, source, room_key, purpose, case_id, person_id, body, created_at, run_at)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $8)
ON CONFLICT (key) DO NOTHING
