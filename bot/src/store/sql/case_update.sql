-- $12 the version it was read with
UPDATE cases
SET number = $2, source = $3, person_id = $4, room_id = $5, thread_id = $6, lift = $7, state = $8,
    opened_at = $9, updated_at = $10, body = $11, version = version + 1, trimmed = 0
WHERE id = $1 AND version = $12
