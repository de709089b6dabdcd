INSERT INTO cases (id, number, source, person_id, room_id, thread_id, lift, state, opened_at, updated_at, body, version)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, 1)
ON CONFLICT DO NOTHING
