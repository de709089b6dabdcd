SELECT number, id, room_id, thread_id, lift, state, opened_at, updated_at, body
FROM cases WHERE source = $1 AND person_id = $2 ORDER BY opened_at, number LIMIT $3
