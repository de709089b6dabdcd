-- Stopped cases first, so that no number of newer ones pushes a stop out of sight.
SELECT id, number, source, person_id, room_id, thread_id, lift, state, opened_at, updated_at, version, body
FROM cases
WHERE source = $1 AND person_id = $2
ORDER BY CASE WHEN state = 'halted' THEN 0 ELSE 1 END, opened_at DESC, number DESC
LIMIT $3
