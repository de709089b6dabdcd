SELECT id, number, source, person_id, room_id, thread_id, lift, state, opened_at, updated_at, version, body
FROM cases
WHERE id = $1
