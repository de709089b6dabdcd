-- $8 now, $9 what is left of the body once it is out. A message about a case is found by its lifter.
INSERT INTO outbox (key, source, room_key, purpose, case_id, person_id, body, created_at, run_at, after_body)
VALUES ($1, $2, $3, $4, $5, COALESCE($6, (SELECT person_id FROM cases WHERE id = $5)), $7, $8, $8, $9)
ON CONFLICT (key) DO NOTHING
