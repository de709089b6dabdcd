-- $1 below this number, $2 limit
SELECT id, number, source, person_id, room_id, thread_id, lift, state, opened_at, updated_at, version, body
FROM cases
WHERE number < $1
ORDER BY number DESC
LIMIT $2
