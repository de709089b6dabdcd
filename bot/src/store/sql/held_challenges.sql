SELECT number, lift, room_id, state, opened_at, closes_at, body
FROM challenges WHERE source = $1 AND person_id = $2 ORDER BY number LIMIT $3
